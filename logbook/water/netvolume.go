package water

import (
	"cmp"
	"fmt"
	"math"
)

// VolumeEstimate is a net water volume with its standard deviation.
type VolumeEstimate struct{ Litres, SD float64 }

// NetVolumeFromDose estimates the net water volume of a tank from a dose of known content and the rise that was
// measured. Content is what the dose would raise one litre by: Strength times mL, or Salt.PerGram times grams.
// ReadingSD is the standard deviation of one reading; the rise is the difference of two, each of which may be the mean
// of n. To first order
//
//	V = content / rise,  sd(V) = V sd(rise) / rise,  sd(rise) = readingSD √(2/n)
//
// and a rise of less than four standard deviations is refused: the answer would be anything.
func NetVolumeFromDose(content, rise, readingSD float64, n int) (VolumeEstimate, error) {
	if err := cmp.Or(mustBePositive("content of the dose", content), mustBePositive("measured rise", rise),
		mustNotBeNegative("standard deviation of a reading", readingSD),
		mustBePositive("number of readings before and after", float64(n))); err != nil {
		return VolumeEstimate{}, err
	}
	sd := readingSD * math.Sqrt(2/float64(n))
	if rise < 4*sd {
		return VolumeEstimate{}, fmt.Errorf("a rise of %s with an uncertainty of %s gives no volume: dose more, or take "+
			"several readings before and after", plain6(rise), plain6(sd))
	}
	v := content / rise
	return VolumeEstimate{Litres: v, SD: v * sd / rise}, nil
}

// BoxVolume is the litres a rectangular tank holds, from its inner measures in cm. The net water is commonly 10 to 25 %
// less: rock, sand and the space above (common practice, no source).
func BoxVolume(length, width, height float64) (float64, error) {
	if err := cmp.Or(mustBePositive("length in cm", length), mustBePositive("width in cm", width),
		mustBePositive("height in cm", height)); err != nil {
		return 0, err
	}
	return length * width * height / 1000, nil
}
