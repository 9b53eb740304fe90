package report

import (
	"bytes"
	"fmt"
	"image/color"
	"io"
	"math"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	stdfont "golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgsvg"
)

// Only the canvases of gonum/plot are used: its package plot reads twelve fonts when any command starts, and carries
// them.

const (
	dpi   = 96
	pixel = vg.Inch / dpi
)

// pen draws on a canvas in pixels, counted from the upper left corner.
type pen struct {
	canvas        vg.CanvasWriterTo
	height        float64
	regular, bold font.Face
}

type at struct{ x, y float64 }

// newPen is a pen that knows its letters and has nothing to draw on yet.
func newPen() (p *pen, err error) {
	p = &pen{}
	if p.regular, err = faceOf(liberationsansregular.TTF, stdfont.WeightNormal); err != nil {
		return nil, err
	}
	p.bold, err = faceOf(liberationsansbold.TTF, stdfont.WeightBold)
	return p, err
}

// begin gives the pen an empty canvas.
func (p *pen) begin(width, height float64, svg bool, background color.Color) {
	p.height = height
	w, h := vg.Length(width)*pixel, vg.Length(height)*pixel
	if svg {
		p.canvas = vgsvg.New(w, h)
	} else {
		p.canvas = vgimg.PngCanvas{Canvas: vgimg.NewWith(vgimg.UseWH(w, h), vgimg.UseDPI(dpi),
			vgimg.UseBackgroundColor(background))}
	}
	p.fill(background, at{0, 0}, at{width, 0}, at{width, height}, at{0, height})
}

func faceOf(ttf []byte, weight stdfont.Weight) (font.Face, error) {
	f, err := opentype.Parse(ttf)
	return font.Face{Font: font.Font{Typeface: "Liberation", Variant: "Sans", Weight: weight}, Face: f}, err
}

// writeTo writes the picture. An SVG holds no fonts: others are named for where ours is not installed.
func (p *pen) writeTo(w io.Writer) error {
	var b bytes.Buffer
	if _, err := p.canvas.WriteTo(&b); err != nil {
		return err
	}
	out := bytes.ReplaceAll(b.Bytes(), []byte("font-family:Liberation Sans;"),
		[]byte("font-family:'Liberation Sans',Arial,sans-serif;"))
	_, err := w.Write(out)
	return err
}

func (p *pen) point(a at) vg.Point {
	return vg.Point{X: vg.Length(a.x) * pixel, Y: vg.Length(p.height-a.y) * pixel}
}

func (p *pen) path(points []at) vg.Path {
	var path vg.Path
	for i, a := range points {
		if i == 0 {
			path.Move(p.point(a))
		} else {
			path.Line(p.point(a))
		}
	}
	return path
}

func (p *pen) fill(c color.Color, points ...at) {
	path := p.path(points)
	path.Close()
	p.canvas.SetColor(c)
	p.canvas.Fill(path)
}

// line joins points; dashes are lengths of ink and gap in turn.
func (p *pen) line(c color.Color, width float64, dashes []float64, points ...at) {
	var ds []vg.Length
	for _, d := range dashes {
		ds = append(ds, vg.Length(d)*pixel)
	}
	p.canvas.SetColor(c)
	p.canvas.SetLineWidth(vg.Length(width) * pixel)
	p.canvas.SetLineDash(ds, 0)
	p.canvas.Stroke(p.path(points))
}

func (p *pen) disc(c color.Color, centre at, radius float64) {
	var path vg.Path
	path.Move(p.point(at{centre.x + radius, centre.y}))
	path.Arc(p.point(centre), vg.Length(radius)*pixel, 0, 2*math.Pi)
	path.Close()
	p.canvas.SetColor(c)
	p.canvas.Fill(path)
}

// Where a text stands as against its point.
const (
	toRight = 0.0
	centred = -0.5
	toLeft  = -1.0
)

// text writes on a baseline and answers with how wide it came out.
func (p *pen) text(c color.Color, face font.Face, size float64, where at, align float64, s string) float64 {
	face.Font.Size = vg.Length(size) * pixel
	s = drawable(face, s)
	w := float64(face.Width(s) / pixel)
	p.canvas.SetColor(c)
	p.canvas.FillString(face, p.point(at{where.x + align*w, where.y}), s)
	return w
}

func (p *pen) width(face font.Face, size float64, s string) float64 {
	face.Font.Size = vg.Length(size) * pixel
	return float64(face.Width(drawable(face, s)) / pixel)
}

// cut shortens a text to a width.
func (p *pen) cut(face font.Face, size, width float64, s string) string {
	if p.width(face, size, s) <= width {
		return s
	}
	rs := []rune(s)
	for len(rs) > 0 && p.width(face, size, string(rs)+"…") > width {
		rs = rs[:len(rs)-1]
	}
	return string(rs) + "…"
}

// drawable replaces characters that the font does not have, such as Chinese ones, by a question mark.
func drawable(face font.Face, s string) string {
	var buf sfnt.Buffer
	out := []rune(s)
	for i, r := range out {
		if g, err := face.Face.GlyphIndex(&buf, r); err != nil || g == 0 {
			out[i] = '?'
		}
	}
	return string(out)
}

// hex is a colour as "#0072b2".
func hex(s string) color.NRGBA {
	var r, g, b uint8
	if _, err := fmt.Sscanf(s, "#%02x%02x%02x", &r, &g, &b); err != nil {
		panic("report: no colour: " + s)
	}
	return color.NRGBA{r, g, b, 255}
}

func faded(c color.NRGBA, alpha uint8) color.NRGBA { c.A = alpha; return c }

// palette is the colours of a picture. Blue and orange stay apart in every common kind of colour blindness (after Okabe
// and Ito, Color Universal Design, 2008, from memory); beside its colour everything has a shape or a pattern of its
// own.
type palette struct {
	paper, ink, dim, grid color.NRGBA
	band, bandEdge        color.NRGBA
	reading, joining      color.NRGBA
	fan, mean, floor      color.NRGBA
}

func paletteOf(dark bool) palette {
	if dark {
		return palette{
			paper: hex("#15191f"), ink: hex("#e8edf2"), dim: hex("#9eabb8"), grid: faded(hex("#e8edf2"), 26),
			band: hex("#1c3448"), bandEdge: hex("#5b93c4"),
			reading: hex("#9bd0f7"), joining: hex("#6aa9d8"),
			fan: faded(hex("#e69f00"), 80), mean: hex("#ffc861"), floor: hex("#ff8a5c"),
		}
	}
	return palette{
		paper: hex("#ffffff"), ink: hex("#1b2733"), dim: hex("#5c6975"), grid: faded(hex("#1b2733"), 24),
		band: hex("#e3eff8"), bandEdge: hex("#5b93c4"),
		reading: hex("#00507f"), joining: hex("#0072b2"),
		fan: faded(hex("#e69f00"), 90), mean: hex("#8a5200"), floor: hex("#b93a00"),
	}
}
