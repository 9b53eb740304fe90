package report

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"

	"leadline/alerts/picture"
	"leadline/logbook"
)

func drawn(t *testing.T, charts []picture.Chart, opt PictureOptions) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Picture(&b, opt, charts); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func demoCharts(t *testing.T) []picture.Chart {
	asOf := demoEvening(t)
	return chartsOf(t, demoBook(t), "forereef", asOf.AddDate(0, 0, -112), asOf, "phosphate", "nitrate")
}

// TestPicturesAreTheSameEveryTime: the same charts give the same bytes, in light and dark, as PNG and SVG.
func TestPicturesAreTheSameEveryTime(t *testing.T) {
	charts := demoCharts(t)
	seen := map[string]PictureOptions{}
	for _, opt := range []PictureOptions{{}, {Dark: true}, {SVG: true}, {SVG: true, Dark: true}} {
		once, again := drawn(t, charts, opt), drawn(t, charts, opt)
		if !bytes.Equal(once, again) {
			t.Errorf("%+v: other bytes the second time", opt)
		}
		if other, twice := seen[string(once)]; twice {
			t.Errorf("%+v and %+v are the same picture", opt, other)
		}
		seen[string(once)] = opt
	}
}

// TestPNG compares the picture of the demo with the one that the README shows. Processors round differently: a mean
// difference of half a step in 255 is let pass.
func TestPNG(t *testing.T) {
	const path = "testdata/forereef.png"
	made := drawn(t, demoCharts(t), PictureOptions{})
	if *update {
		if err := os.WriteFile(path, made, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	kept, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	got, err := png.Decode(bytes.NewReader(made))
	if err != nil {
		t.Fatal(err)
	}
	want, err := png.Decode(bytes.NewReader(kept))
	if err != nil {
		t.Fatal(err)
	}
	if got.Bounds() != want.Bounds() || got.Bounds().Dx() != pictureWidth {
		t.Fatalf("size %v, want %v, %v wide", got.Bounds(), want.Bounds(), pictureWidth)
	}
	if d := difference(got, want); d > 0.5 {
		t.Errorf("the picture differs by %.2f in 255 from %s (-update rewrites it)", d, path)
	}
}

func difference(a, b image.Image) float64 {
	sum, n := 0.0, 0
	for y := range a.Bounds().Dy() {
		for x := range a.Bounds().Dx() {
			p, q := color.NRGBAModel.Convert(a.At(x, y)).(color.NRGBA), color.NRGBAModel.Convert(b.At(x, y)).(color.NRGBA)
			sum += math.Abs(float64(p.R)-float64(q.R)) + math.Abs(float64(p.G)-float64(q.G)) +
				math.Abs(float64(p.B)-float64(q.B))
			n += 3
		}
	}
	return sum / float64(n)
}

// svgText is a text of an SVG with where it begins, in pixels from the upper left.
type svgText struct {
	x, y float64
	s    string
}

// textsOf parses an SVG as XML and gives its texts.
func textsOf(t *testing.T, svg []byte) []svgText {
	t.Helper()
	var out []svgText
	var here *svgText
	d := xml.NewDecoder(bytes.NewReader(svg))
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return out
		}
		if err != nil {
			t.Fatal(err)
		}
		switch e := token.(type) {
		case xml.StartElement:
			if e.Name.Local == "text" {
				here = &svgText{}
				for _, a := range e.Attr {
					v, _ := strconv.ParseFloat(a.Value, 64)
					switch a.Name.Local {
					case "x":
						here.x = v * dpi / 72
					case "y":
						here.y = v * dpi / 72
					}
				}
			}
		case xml.CharData:
			if here != nil {
				here.s += string(e)
			}
		case xml.EndElement:
			if e.Name.Local == "text" {
				out = append(out, *here)
				here = nil
			}
		}
	}
}

func TestSVGTells(t *testing.T) {
	charts := demoCharts(t)
	svg := drawn(t, charts, PictureOptions{SVG: true})
	texts := textsOf(t, svg)
	has := func(s string) bool {
		for _, x := range texts {
			if strings.Contains(x.s, s) {
				return true
			}
		}
		return false
	}
	for _, want := range []string{"forereef, as of 7 Mar 2026", "phosphate, mg/L", "nitrate, mg/L", "floor 0.015",
		"band from 0.030", "band to 12.0",
		"10–90 % range", "Feb 2026", "events", "water changes", "chores, media",
		"28 Feb: plating colony 2: paler at the rim than last month", states(charts[0])} {
		if !has(want) {
			t.Errorf("no text %q", want)
		}
	}
	if !bytes.Contains(svg, []byte("'Liberation Sans',Arial,sans-serif")) {
		t.Error("no font named for machines without ours")
	}
	for _, x := range texts {
		if x.x < 0 || x.x > pictureWidth {
			t.Errorf("%q begins at %.0f", x.s, x.x)
		}
	}
	for _, x := range textsOf(t, drawn(t, charts, PictureOptions{SVG: true, Private: true})) {
		if strings.Contains(x.s, "forereef") || strings.Contains(x.s, "plating") {
			t.Errorf("the private picture tells %q", x.s)
		}
	}
}

// TestTextsKeepApart: no text of a picture runs into its right neighbour or off the paper, measured with our font.
func TestTextsKeepApart(t *testing.T) {
	asOf := demoEvening(t)
	charts := chartsOf(t, demoBook(t), "forereef", asOf.AddDate(0, 0, -112), asOf, "alkalinity", "calcium", "magnesium",
		"nitrate", "phosphate", "salinity")
	p, err := newPen()
	if err != nil {
		t.Fatal(err)
	}
	texts := textsOf(t, drawn(t, charts, PictureOptions{SVG: true}))
	for i, a := range texts {
		face, size := p.regular, fontSize
		if strings.Contains(a.s, ", as of") {
			face, size = p.bold, 19
		}
		end := a.x + p.width(face, size, a.s)
		if end > pictureWidth {
			t.Errorf("%q ends at %.0f", a.s, end)
		}
		for _, b := range texts[i+1:] {
			if math.Abs(a.y-b.y) < 9 && a.x <= b.x && end > b.x {
				t.Errorf("%q (%.0f,%.0f) runs into %q (%.0f,%.0f)", a.s, a.x, a.y, b.s, b.x, b.y)
			}
		}
	}
}

// TestContrast: text and lines stand out from the paper and the band as WCAG 2.2 asks: 4.5 for text (success criterion
// 1.4.3), 3 for parts of a graphic (1.4.11).
func TestContrast(t *testing.T) {
	// The definition's own ends: black on white is 21, a colour on itself 1.
	if c := contrast(hex("#000000"), hex("#ffffff")); math.Abs(c-21) > 1e-9 {
		t.Fatalf("black on white: %v", c)
	}
	for _, dark := range []bool{false, true} {
		p := paletteOf(dark)
		for name, pair := range map[string]struct {
			front, back color.NRGBA
			least       float64
		}{
			"ink": {p.ink, p.paper, 4.5}, "dim": {p.dim, p.paper, 4.5}, "floor": {p.floor, p.paper, 4.5},
			"reading on band": {p.reading, p.band, 3}, "line on band": {p.joining, p.band, 3},
			"mean on band": {p.mean, p.band, 3},
			"mean on fan":  {p.mean, over(p.fan, p.paper), 3}, "mean on fan on band": {p.mean, over(p.fan, p.band), 3},
			"floor on fan": {p.floor, over(p.fan, p.paper), 3}, "band's edge": {p.bandEdge, p.paper, 3},
		} {
			if c := contrast(pair.front, pair.back); c < pair.least {
				t.Errorf("dark %v: %s: %.2f, want %.1f", dark, name, c, pair.least)
			}
		}
	}
}

// contrast is WCAG's ratio of relative luminances (https://www.w3.org/TR/WCAG22/#dfn-contrast-ratio).
func contrast(a, b color.NRGBA) float64 {
	la, lb := luminance(a), luminance(b)
	return (math.Max(la, lb) + 0.05) / (math.Min(la, lb) + 0.05)
}

func luminance(c color.NRGBA) float64 {
	return 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
}

// linear undoes the curve of sRGB.
func linear(v uint8) float64 {
	s := float64(v) / 255
	if s <= 0.04045 {
		return s / 12.92
	}
	return math.Pow((s+0.055)/1.055, 2.4)
}

func over(front, back color.NRGBA) color.NRGBA {
	mix := func(f, b uint8) uint8 { return uint8((int(f)*int(front.A) + int(b)*(255-int(front.A))) / 255) }
	return color.NRGBA{mix(front.R, back.R), mix(front.G, back.G), mix(front.B, back.B), 255}
}

// TestColourBlind: readings stay apart from forecast and floor for people who lack one kind of cone. Forecast and floor
// are both brown to them, and have their own dashes.
func TestColourBlind(t *testing.T) {
	if a, b := floorDashes, meanDashes; len(a) == len(b) {
		t.Error("forecast and floor have the same dashes")
	}
	// Machado, Oliveira & Fernandes (2009), IEEE Trans. Vis. Comput. Graph. 15, 1291-1298, severity 1.0 (from memory).
	kinds := map[string][9]float64{
		"protan": {0.152286, 1.052583, -0.204868, 0.114503, 0.786281, 0.099216, -0.003882, -0.048116, 1.051998},
		"deutan": {0.367322, 0.860646, -0.227968, 0.280085, 0.672501, 0.047413, -0.011820, 0.042940, 0.968881},
		"tritan": {1.255528, -0.076749, -0.178779, -0.078411, 0.930809, 0.147602, 0.004733, 0.691367, 0.303900},
	}
	const apart = 25 // CIE 1976 colour difference; 2.3 is just noticeable (Mahy et al. 1994, from memory)
	for kind, m := range kinds {
		for _, dark := range []bool{false, true} {
			p := paletteOf(dark)
			for name, other := range map[string]color.NRGBA{"mean": p.mean, "floor": p.floor} {
				if d := labDistance(seenBy(m, p.joining), seenBy(m, other)); d < apart {
					t.Errorf("%s, dark %v: line and %s are %.0f apart", kind, dark, name, d)
				}
			}
		}
	}
}

// seenBy is a colour, in linear light, as it looks to somebody.
func seenBy(m [9]float64, c color.NRGBA) [3]float64 {
	r, g, b := linear(c.R), linear(c.G), linear(c.B)
	var out [3]float64
	for i := range out {
		out[i] = math.Max(0, math.Min(1, m[3*i]*r+m[3*i+1]*g+m[3*i+2]*b))
	}
	return out
}

// labDistance is the CIE 1976 difference of two colours in linear sRGB, white D65.
func labDistance(p, q [3]float64) float64 {
	a, b := lab(p), lab(q)
	return math.Sqrt((a[0]-b[0])*(a[0]-b[0]) + (a[1]-b[1])*(a[1]-b[1]) + (a[2]-b[2])*(a[2]-b[2]))
}

func lab(c [3]float64) [3]float64 {
	f := func(v float64) float64 {
		if v > 216.0/24389 {
			return math.Cbrt(v)
		}
		return (24389.0/27*v + 16) / 116
	}
	x := f((0.4124*c[0] + 0.3576*c[1] + 0.1805*c[2]) / 0.9505)
	y := f(0.2126*c[0] + 0.7152*c[1] + 0.0722*c[2])
	z := f((0.0193*c[0] + 0.1192*c[1] + 0.9505*c[2]) / 1.0890)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

// TestOddCharts draws what has no or few readings, bounds, wild values and names that the font does not have.
func TestOddCharts(t *testing.T) {
	asOf := time.Date(2026, 3, 7, 9, 0, 0, 0, time.UTC)
	var log strings.Builder
	log.WriteString(`{"kind":"tank","tank":"潮だまり","bands":{"nitrate":{"high":9}}}` + "\n")
	for i, v := range []string{"<1", "<1", "0", "0", ">50", "4", "4", "4", "4", "4", "400"} {
		fmt.Fprintf(&log, `{"kind":"reading","time":"%s","tank":"潮だまり","parameter":"nitrate","value":"%s","unit":"mg/L"}`+
			"\n",
			asOf.AddDate(0, 0, 3*i-40).Format(time.RFC3339), v)
	}
	log.WriteString(
		`{"kind":"reading","time":"2026-03-01T09:00:00Z","tank":"潮だまり","parameter":"calcium","value":"400","unit":"mg/L"}` +
			"\n")
	log.WriteString(`{"kind":"event","time":"2026-03-01T09:00:00Z","tank":"潮だまり","text":"` +
		strings.Repeat("a long event ", 30) + `"}` + "\n")
	for _, from := range []time.Time{asOf.AddDate(0, 0, -60), asOf.AddDate(-9, 0, 0), asOf.Add(-time.Minute)} {
		charts := chartsOf(t, bookOf(t, []byte(log.String())), "潮だまり", from, asOf, "nitrate", "calcium", "boron")
		for _, svg := range []bool{false, true} {
			picture := drawn(t, charts, PictureOptions{SVG: svg})
			if bytes.Contains(picture, []byte("NaN")) {
				t.Error("NaN in the picture")
			}
		}
		for _, c := range charts {
			for _, width := range []int{0, 40, 80, 200} {
				checkText(t, TextChart(c, width, 14, false), max(width, leastWidth))
			}
		}
	}
}

// TestPictureShowsTheCause: media are changed, and phosphate crashes. The picture, the text chart and the post show
// what was done, with its note, in the place where the fall begins, and the last reading is on the axis.
func TestPictureShowsTheCause(t *testing.T) {
	asOf := time.Date(2025, 11, 30, 12, 0, 0, 0, time.UTC)
	changed := time.Date(2025, 10, 30, 12, 0, 0, 0, time.UTC)
	var log strings.Builder
	log.WriteString(`{"kind":"tank","tank":"reef","bands":{"phosphate":{"low":0.03,"high":0.1,"floor":0.015}}}` + "\n" +
		`{"kind":"stock","tank":"reef","stock":"phosphate media","unit":"g","per_day":5}` + "\n")
	for i, v := range []string{"0.06", "0.062", "0.058", "0.061", "0.06", "0.059", "0.06", "0.03", "0.012", "0.006"} {
		fmt.Fprintf(&log, `{"kind":"reading","time":"%s","tank":"reef","parameter":"phosphate","value":"%s","unit":"mg/L"}`+
			"\n",
			changed.AddDate(0, 0, 8*(i-6)-1).Format(time.RFC3339), v)
	}
	for i := range 6 {
		fmt.Fprintf(&log, `{"kind":"water_change","time":"%s","tank":"reef","fraction":0.1}`+"\n",
			asOf.AddDate(0, 0, -14*(i+1)).Format(time.RFC3339))
	}
	fmt.Fprintf(&log, `{"kind":"chore_done","time":"%s","tank":"reef","chore":"phosphate media","note":"new brand"}`+"\n",
		changed.Format(time.RFC3339))
	fmt.Fprintf(&log, `{"kind":"refill","time":"%s","tank":"reef","stock":"phosphate media","amount":500}`+"\n",
		changed.Format(time.RFC3339))
	fmt.Fprintf(&log, `{"kind":"dose","time":"%s","tank":"reef","parameter":"calcium","amount":10,"unit":"mg/L"}`+"\n",
		changed.Format(time.RFC3339))
	book := bookOf(t, []byte(log.String()))
	charts := chartsOf(t, book, "reef", asOf.AddDate(0, 0, -112), asOf, "phosphate")

	svg := drawn(t, charts, PictureOptions{SVG: true})
	texts := map[string]svgText{}
	for _, x := range textsOf(t, svg) {
		texts[x.s] = x
	}
	for _, want := range []string{"30 Oct: phosphate media done: new brand", "30 Oct: phosphate media: 500 g there",
		"7 Sep, … 16 Nov (6 times): water change of 10 %", "chores, media"} {
		if _, there := texts[want]; !there {
			t.Errorf("the picture does not tell %q: %v", want, texts)
		}
	}
	p := drawing{charts: charts, left: leftMargin, right: pictureWidth - rightMargin}
	if at := fmt.Sprintf("<path d=\"M%.5g", p.x(changed)*72/dpi); !bytes.Contains(svg, []byte(at)) {
		t.Errorf("no line at the day of the change, %s", at)
	}
	if s, _ := charts[0].Scale(true); s.Beyond(0.006) {
		t.Errorf("the last reading is not on the axis from %v to %v", s.Lo, s.Hi)
	}

	text := TextChart(charts[0], 80, 14, false)
	lines := strings.Split(text, "\n")
	column := func(row, sign string) int {
		for _, l := range lines {
			if before, _, there := strings.Cut(l, sign); there && strings.Contains(l, row) {
				return ansi.StringWidth(before)
			}
		}
		t.Fatalf("no %s in the row of %s:\n%s", sign, row, text)
		return 0
	}
	if cause, low := column("└", "12"), column("0.030┤", picture.Level); cause >= low || cause < low-8 {
		t.Errorf("media at column %d, the first low reading at %d:\n%s", cause, low, text)
	}
	for what, text := range map[string]string{"chart in characters": text,
		"post": sheetOf(t, book, "reef", asOf).Post(PostOptions{Markup: Text})} {
		if !regexp.MustCompile(`\d  30 Oct: phosphate media done: new brand`).MatchString(text) {
			t.Errorf("the %s does not tell the cause:\n%s", what, text)
		}
	}
	if strings.Contains(text, "calcium") {
		t.Error("a dose of calcium stands under phosphate")
	}
}

// TestYearPictures: two tanks over a year beside each other, in any size that has room; every text is on the paper, and
// a number in a ring is explained.
func TestYearPictures(t *testing.T) {
	asOf := demoEvening(t)
	var tanks [][]picture.Chart
	err := demoBook(t).View(func(v *logbook.View) error {
		all, err := v.Tanks()
		if err != nil {
			return err
		}
		tanks, err = picture.Course(v, all, nil, nil, asOf.AddDate(0, 0, -picture.YearDays), asOf)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(tanks) != 2 || len(tanks[0]) < 6 || len(tanks[0]) != len(tanks[1]) {
		t.Fatalf("%d tanks", len(tanks))
	}
	for _, size := range [][2]float64{{0, 0}, {500, 700}, {1600, 900}, {900, 3000}} {
		for n := 1; n <= 2; n++ {
			var b bytes.Buffer
			if err := Picture(&b, PictureOptions{Summed: true, Width: size[0], Height: size[1]}, tanks[:n]...); err != nil {
				t.Fatal(err)
			}
			m, err := png.Decode(&b)
			if err != nil {
				t.Fatal(err)
			}
			got := m.Bounds().Size()
			if size[0] > 0 && (float64(got.X) != size[0] || float64(got.Y) != size[1]) {
				t.Errorf("%v asked for, %v drawn", size, got)
			}
			b.Reset()
			if err := Picture(&b, PictureOptions{SVG: true, Summed: true, Width: size[0], Height: size[1]},
				tanks[:n]...); err != nil {
				t.Fatal(err)
			}
			explained, marked := map[string]int{}, map[string]int{}
			for _, x := range textsOf(t, b.Bytes()) {
				if x.x < 0 || x.x > float64(got.X) {
					t.Errorf("%v: %q begins at %.0f", size, x.s, x.x)
				}
				if _, err := strconv.Atoi(x.s); err == nil && len(x.s) < 3 {
					marked[x.s]++
				}
				if day, _, is := strings.Cut(x.s, ": "); is && strings.ContainsAny(day, "123456789") {
					explained[x.s]++
				}
			}
			if size[1] == 700 && len(explained) > len(marked)+8 || size[1] == 0 && len(explained) < 8 {
				t.Errorf("%v: %d lines explain %d numbers", size, len(explained), len(marked))
			}
		}
	}
	if err := Picture(io.Discard, PictureOptions{Width: 600, Height: 200}, tanks...); err == nil ||
		!strings.Contains(err.Error(), "at least") {
		t.Errorf("too small: %v", err)
	}
	text := TextYear(tanks, 100, 0, false)
	checkText(t, text, 100)
	for _, want := range []string{"forereef", "lagoon", "phosphate", "% in band", "done in lagoon",
		"phosphate media: new kind of media"} {
		if !strings.Contains(text, want) {
			t.Errorf("the year in characters does not tell %q:\n%s", want, text)
		}
	}
	if private := TextYear(tanks, 100, 0, true); strings.Contains(private, "forereef") ||
		strings.Contains(private, "new kind") {
		t.Errorf("the private year tells names:\n%s", private)
	}
}
