package part

import (
	"math"
	"strconv"
	"strings"
	"testing"
)

// terminalPalettes are the sixteen base colours of common terminals: xterm's own, VGA's, those of the Windows console
// since 2017, and Tango's. Remembered values.
func terminalPalettes() map[string]string {
	return map[string]string{
		"xterm": "000000 cd0000 00cd00 cdcd00 0000ee cd00cd 00cdcd e5e5e5 7f7f7f ff0000 00ff00 ffff00 5c5cff ff00ff " +
			"00ffff ffffff",
		"vga": "000000 aa0000 00aa00 aa5500 0000aa aa00aa 00aaaa aaaaaa 555555 ff5555 55ff55 ffff55 5555ff ff55ff " +
			"55ffff ffffff",
		"console": "0c0c0c c50f1f 13a10e c19c00 0037da 881798 3a96dd cccccc 767676 e74856 16c60c f9f1a5 3b78ff b4009e " +
			"61d6d6 f2f2f2",
		"tango": "000000 cc0000 4e9a06 c4a000 3465a4 75507b 06989a d3d7cf 555753 ef2929 8ae234 fce94f 729fcf ad7fa8 34e2e2 " +
			"eeeeec",
	}
}

// Words reach a contrast of 4.5 to 1 and lines in pictures 3 to 1, the least of level AA in WCAG 2.1 (1.4.3 and
// 1.4.11), on the dark and on the light background of every common terminal.
func TestContrast(t *testing.T) {
	for name, colours := range terminalPalettes() {
		base := strings.Fields(colours)
		for _, ground := range []struct {
			name, colour string
			palette      baseColours
		}{{"dark", base[0], darkPalette()}, {"light", "ffffff", lightPalette()}} {
			p := ground.palette
			for what, need := range map[[2]string]float64{
				{"good", p.good}: 4.5, {"warn", p.warn}: 4.5, {"bad", p.bad}: 4.5, {"accent", p.accent}: 4.5, {"band", p.band}: 3,
				{"soon", p.soon}: 3,
			} {
				n, err := strconv.Atoi(what[1])
				if err != nil || n > 15 {
					t.Fatalf("%s is not a base colour: %s", what[0], what[1])
				}
				if got := contrast(base[n], ground.colour); got < need {
					t.Errorf("%s on %s of %s: %.1f to 1, want %.1f", what[0], ground.name, name, got, need)
				}
			}
		}
	}
}

// contrast is the contrast ratio of WCAG 2.1.
func contrast(a, b string) float64 {
	x, y := luminance(a), luminance(b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

// luminance is the relative luminance of WCAG 2.1 of a colour in sRGB, as hexadecimal digits.
func luminance(colour string) float64 {
	sum := 0.0
	for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
		n, _ := strconv.ParseUint(colour[2*i:2*i+2], 16, 8)
		c := float64(n) / 255
		if c <= 0.03928 {
			c /= 12.92
		} else {
			c = math.Pow((c+0.055)/1.055, 2.4)
		}
		sum += weight * c
	}
	return sum
}

// Black on white has the contrast that WCAG 2.1 gives it in its definition, 21 to 1.
func TestContrastOfBlackOnWhite(t *testing.T) {
	if got := contrast("000000", "ffffff"); math.Abs(got-21) > 1e-9 {
		t.Errorf("%v", got)
	}
}
