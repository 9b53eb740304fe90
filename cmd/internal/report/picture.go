package report

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"time"

	"leadline/alerts/picture"
	"leadline/alerts/words"
	"leadline/logbook"
)

type PictureOptions struct {
	SVG           bool
	Dark          bool
	Private       bool    // without the tank's name and the text of events
	Summed        bool    // beside each parameter how its time went in sum, in place of where it stands
	Width, Height float64 // pixels; 0: as wide as a forum shows it unshrunk, as high as it needs
}

// The measures of a picture, in pixels.
const (
	pictureWidth = 900.0
	columnWidth  = 420.0 // what each further tank adds
	leftMargin   = 62.0
	rightMargin  = 118.0
	titleHeight  = 44.0
	legendHeight = 22.0
	panelHead    = 26.0
	panelGap     = 14.0
	leastPanel   = 24.0
	sparePanel   = 60.0 // where panels would be less, the key is cut
	laneHeight   = 18.0
	datesHeight  = 24.0
	keyHeight    = 18.0
	footHeight   = 12.0
	discWidth    = 16.0 // of a number
	mostNumbered = 12
	perDisc      = 3 // pixels for each reading; where there are more of them, the line alone is drawn
	fontSize     = 12.5
)

// patterns of lines, so that none is told by its colour alone
var (
	floorDashes = []float64{7, 3, 2, 3}
	meanDashes  = []float64{5, 3}
)

// drawing is the state of drawing the charts of one tank.
type drawing struct {
	*pen
	palette
	opt         PictureOptions
	charts      []picture.Chart
	deeds       []picture.Deed
	edge        float64 // where its column begins
	left, right float64 // the ends of the time axis
	y           float64 // where the next part begins
}

// Picture draws the charts of one tank below each other on one time axis, those of several tanks beside each other, as
// PNG or SVG. The same charts give the same bytes. Every tank has as many, at least one. It fails where the height that
// is asked for has no room for them.
func Picture(w io.Writer, opt PictureOptions, tanks ...[]picture.Chart) error {
	n := float64(len(tanks[0]))
	pen, err := newPen()
	if err != nil {
		return err
	}
	opt.Width = cmp.Or(opt.Width, pictureWidth+columnWidth*float64(len(tanks)-1))
	columns := make([]drawing, len(tanks))
	below, keys := 0.0, 0 // the height of what stands under the panels, and how many lines explain its marks
	for i, charts := range tanks {
		edge := opt.Width / float64(len(tanks)) * float64(i)
		p := drawing{pen: pen, palette: paletteOf(opt.Dark), opt: opt, charts: charts,
			deeds: picture.DeedsOf(charts, opt.Private, mostNumbered), edge: edge,
			left: edge + leftMargin, right: edge + opt.Width/float64(len(tanks)) - rightMargin}
		columns[i] = p
		below = math.Max(below, float64(len(picture.Lanes(p.deeds)))*laneHeight+datesHeight+footHeight)
		keys = max(keys, len(p.key()))
	}
	first := columns[0]
	head := titleHeight + legendHeight*first.legend(slices.Concat(tanks...), false)
	panel := 118.0
	switch {
	case n == 1:
		panel = 260
	case n <= 3:
		panel = 170
	}
	if opt.Height > 0 {
		room := opt.Height - head - below
		keys = max(0, min(keys, int((room-n*(sparePanel+panelHead+panelGap))/keyHeight)))
		panel = math.Floor((room-keyHeight*float64(keys))/n - panelHead - panelGap)
	}
	if panel < leastPanel || first.right-first.left < leastPanel {
		return fmt.Errorf("a picture of %.0f × %.0f pixels is too small for %s and what was done; it needs at least %.0f × "+
			"%.0f", opt.Width, opt.Height,
			words.Plural(len(tanks[0]), "parameter", "parameters"), (leftMargin+rightMargin+leastPanel)*float64(len(tanks)),
			math.Ceil(head+below+n*(leastPanel+panelHead+panelGap)))
	}
	for i, p := range columns {
		if keys < len(p.key()) { // a number that nothing explains says nothing
			columns[i].deeds = picture.DeedsOf(p.charts, opt.Private, keys)
		}
	}
	pen.begin(opt.Width, cmp.Or(opt.Height, math.Ceil(head+n*(panelHead+panel+panelGap)+below+keyHeight*float64(keys))),
		opt.SVG, first.paper)
	first.legend(slices.Concat(tanks...), true)
	for _, p := range columns {
		p.title()
		p.y = head
		for _, c := range p.charts {
			p.panel(c, panel)
		}
		for _, l := range picture.Lanes(p.deeds) {
			p.lane(l)
		}
		p.dates()
		p.writeKey(keys)
	}
	return pen.writeTo(w)
}

func (p *drawing) x(t time.Time) float64 { return p.left + p.charts[0].Along(t)*(p.right-p.left) }

func (p *drawing) title() {
	c := p.charts[0]
	title := "As of " + words.Day(c.Now)
	if !p.opt.Private {
		title = p.cut(p.bold, 19, p.right-p.edge-60, words.OneLine(c.Finding.Tank.Name)) + ", as of " + words.Day(c.Now)
	}
	p.text(p.ink, p.bold, 19, at{p.edge + 16, 29}, toRight, title)
}

// legend says what the signs mean, if it is to be drawn, and in how many rows.
func (p *drawing) legend(charts []picture.Chart, draw bool) (rows float64) {
	x, y := 16.0, 52.0
	say := func(width float64, sign func(), text string) {
		whole := width + 6 + p.width(p.regular, fontSize, text)
		if x > 16 && x+whole > p.opt.Width-8 {
			x, y = 16, y+legendHeight
		}
		if draw {
			sign()
			p.text(p.dim, p.regular, fontSize, at{x + width + 6, y}, toRight, text)
		}
		x += whole + 18
	}
	say(9, func() { p.mark(logbook.Reading{}, at{x + 5, y - 4.5}) }, "reading")
	if slices.ContainsFunc(charts, picture.Chart.Bounded) {
		say(24, func() {
			p.mark(logbook.Reading{Bound: logbook.Below}, at{x + 5, y - 4.5})
			p.mark(logbook.Reading{Bound: logbook.Above}, at{x + 19, y - 4.5})
		}, "below, above what the method sees")
	}
	if slices.ContainsFunc(charts, func(c picture.Chart) bool { return c.Finding.Band.Set() }) {
		say(22, func() {
			p.fill(p.band, at{x, y - 10}, at{x + 22, y - 10}, at{x + 22, y}, at{x, y})
			p.line(p.bandEdge, 1, nil, at{x, y - 10}, at{x + 22, y - 10})
			p.line(p.bandEdge, 1, nil, at{x, y}, at{x + 22, y})
		}, "band")
	}
	if slices.ContainsFunc(charts, func(c picture.Chart) bool { return !math.IsNaN(c.Finding.Band.Floor) }) {
		say(26, func() { p.line(p.floor, 1.8, floorDashes, at{x, y - 4.5}, at{x + 26, y - 4.5}) }, "floor")
	}
	if slices.ContainsFunc(charts, func(c picture.Chart) bool { return len(c.Fan()) > 0 }) {
		say(26, func() {
			p.fill(p.fan, at{x, y - 6}, at{x + 26, y - 11}, at{x + 26, y + 1}, at{x, y - 4})
			p.line(p.mean, 1.8, meanDashes, at{x, y - 5}, at{x + 26, y - 5})
		}, "forecast of the true level: mean, and 10–90 % range")
	}
	return (y-52)/legendHeight + 1
}

func (p *drawing) panel(c picture.Chart, height float64) {
	base := p.y + panelHead - 8
	w := p.text(p.ink, p.bold, 14, at{p.left, base}, toRight, nameOf(c))
	w = 1.12*w + 14 // where an SVG is shown with another font, that may be wider
	said := states(c)
	if p.opt.Summed {
		said = c.Sum().Text(c.Finding.Parameter)
	}
	room := p.right + rightMargin - 16 - p.left - w
	p.text(p.dim, p.regular, fontSize, at{p.left + w, base}, toRight, p.cut(p.regular, fontSize, room, said))
	top := p.y + panelHead
	bottom := top + height
	p.y = bottom + panelGap
	scale, ok := c.Scale(true)
	if !ok {
		p.frame(top, bottom)
		p.text(p.dim, p.regular, fontSize, at{(p.left + p.right) / 2, (top + bottom) / 2}, centred,
			"no readings since "+words.Day(c.From))
		return
	}
	y := func(v float64) float64 { return bottom - scale.At(v)*height }
	p.bandAndGrid(c, scale, top, bottom, y)
	p.fanOf(c, y)
	for _, piece := range c.Pieces() {
		var points []at
		for _, r := range piece {
			points = append(points, at{p.x(r.Time), y(r.Value)})
		}
		if points = p.fromLeft(points); len(points) > 1 {
			p.line(p.joining, 1.5, nil, points...)
		}
	}
	seen := c.Seen()
	few := float64(perDisc*len(seen)) <= p.right-p.left
	for _, r := range seen {
		p.readingMark(c, r, at{p.x(r.Time), y(r.Value)}, scale, few)
	}
	p.edges(c, scale, top, bottom, y)
}

// fromLeft is the part of a line that lies right of the axis, where it may come in between two readings.
func (p *drawing) fromLeft(points []at) []at {
	for i, b := range points {
		switch {
		case b.x < p.left:
		case i == 0:
			return points
		default:
			a := points[i-1]
			points[i-1] = at{p.left, a.y + (p.left-a.x)/(b.x-a.x)*(b.y-a.y)}
			return points[i-1:]
		}
	}
	return nil
}

// bandAndGrid is all that lies under the readings.
func (p *drawing) bandAndGrid(c picture.Chart, scale picture.Scale, top, bottom float64, y func(float64) float64) {
	left, right := p.left, p.right
	for _, b := range c.Held() {
		low, high := bottom, top
		if !math.IsNaN(b.Low) {
			low = y(b.Low)
		}
		if !math.IsNaN(b.High) {
			high = y(b.High)
		}
		if from, to := p.x(b.From), p.x(b.To); b.Set() {
			p.fill(p.band, at{from, high}, at{to, high}, at{to, low}, at{from, low})
		}
	}
	steps, digits := c.Steps(scale, math.Max(2, (bottom-top)/38))
	for _, v := range steps {
		p.line(p.grid, 1, nil, at{left, y(v)}, at{right, y(v)})
		p.text(p.dim, p.regular, fontSize, at{left - 7, y(v) + 4.5}, toLeft,
			strconv.FormatFloat(c.Finding.Parameter.Shown.FromCanonical(v), 'f', digits, 64))
	}
	for _, t := range p.ticks() {
		p.line(p.grid, 1, nil, at{p.x(t.At), top}, at{p.x(t.At), bottom})
	}
	for _, d := range p.deeds {
		if x := p.x(d.Times[0]); d.Single() {
			p.line(p.dim, 1, []float64{1, 4}, at{x, top}, at{x, bottom})
		}
	}
	p.frame(top, bottom)
	p.line(p.dim, 1, nil, at{p.x(c.Now), top}, at{p.x(c.Now), bottom})
	for _, b := range c.Held() {
		from, to := p.x(b.From), p.x(b.To)
		for _, edge := range []float64{b.Low, b.High} {
			if !math.IsNaN(edge) && !scale.Beyond(edge) {
				p.line(p.bandEdge, 1, nil, at{from, y(edge)}, at{to, y(edge)})
			}
		}
		if !math.IsNaN(b.Floor) && !scale.Beyond(b.Floor) {
			p.line(p.floor, 1.8, floorDashes, at{from, y(b.Floor)}, at{to, y(b.Floor)})
		}
	}
}

func (p *drawing) frame(top, bottom float64) {
	p.line(p.dim, 1, nil, at{p.left, top}, at{p.left, bottom}, at{p.right, bottom})
}

func (p *drawing) fanOf(c picture.Chart, y func(float64) float64) {
	fan := c.Fan()
	if len(fan) == 0 {
		return
	}
	var upper, lower, mean []at
	for _, f := range fan {
		x := p.x(f.Time)
		upper, lower, mean = append(upper, at{x, y(f.Hi)}), append([]at{{x, y(f.Lo)}}, lower...),
			append(mean, at{x, y(f.Mean)})
	}
	p.fill(p.fan, append(slices.Clone(upper), lower...)...)
	for _, edge := range [][]at{upper, lower} {
		p.line(faded(p.mean, 130), 0.8, nil, edge...)
	}
	p.line(p.mean, 1.8, meanDashes, mean...)
}

// edges writes the exact numbers of band and floor beside their lines, one below the other where they lie close, and
// with an arrow at the end of the axis beyond which they lie.
func (p *drawing) edges(c picture.Chart, scale picture.Scale, top, bottom float64, y func(float64) float64) {
	b := c.Finding.Band
	last := bottom + 20
	for _, e := range []struct {
		v     float64
		words string
		floor bool
	}{{b.Floor, "floor ", true}, {b.Low, "band from ", false}, {b.High, "band to ", false}} {
		if math.IsNaN(e.v) {
			continue
		}
		base := math.Max(top+9, math.Min(y(e.v)+4.5, last-13))
		last = base
		colour := p.dim
		if e.floor {
			colour = p.floor
		}
		text := e.words + words.Number(c.Finding.Parameter, e.v)
		if e.v > scale.Hi {
			text += " ↑"
		} else if e.v < scale.Lo {
			text += " ↓"
		}
		p.text(colour, p.regular, fontSize, at{p.right + 7, base}, toRight, text)
	}
}

// readingMark marks a reading; in a dense series only what is told by a bound, or lies beyond the chart and gets its
// number.
func (p *drawing) readingMark(c picture.Chart, r logbook.Reading, a at, scale picture.Scale, few bool) {
	outside := scale.Beyond(r.Value)
	if few || outside || r.Bound != logbook.Exact {
		p.mark(r, a)
	}
	if outside {
		drop := -4.0
		if r.Value > scale.Hi {
			drop = 10
		}
		p.text(p.ink, p.regular, fontSize, at{a.x + 8, a.y + drop}, toRight, words.Value(c.Finding.Parameter, r))
	}
}

// mark draws a reading: a disc, or a hollow triangle that points to where the true value lies.
func (p *drawing) mark(r logbook.Reading, a at) {
	const size = 5.0
	tip := map[logbook.Bound]float64{logbook.Below: 1, logbook.Above: -1}[r.Bound]
	if tip == 0 {
		p.disc(p.paper, a, 4.6)
		p.disc(p.reading, a, 3.4)
		return
	}
	triangle := []at{{a.x - size, a.y - tip*size*0.8}, {a.x + size, a.y - tip*size*0.8}, {a.x, a.y + tip*size}}
	p.fill(p.paper, triangle...)
	p.line(p.reading, 1.6, nil, append(triangle, triangle[0], triangle[1])...)
}

func (p *drawing) lane(l picture.Lane) {
	middle := p.y - panelGap/2 + laneHeight/2
	p.line(p.grid, 1, nil, at{p.left, middle}, at{p.right, middle})
	p.text(p.dim, p.regular, fontSize, at{p.right + 7, middle + 4.5}, toRight, l.Name)
	type mark struct {
		x  float64
		of picture.Deed
	}
	var marks []mark
	for _, d := range l.Deeds {
		for _, t := range d.Times {
			marks = append(marks, mark{p.x(t), d})
		}
	}
	slices.SortStableFunc(marks, func(a, b mark) int { return cmp.Compare(a.x, b.x) })
	free := p.left - discWidth
	for _, m := range marks { // what was done together stands side by side
		if m.of.Number > 0 {
			m.x = math.Min(math.Max(m.x, free), p.right)
			free = m.x + discWidth
		}
		p.deed(m.of, at{m.x, middle})
	}
	p.y += laneHeight
}

// deed marks what was done by its number, or by a plain mark.
func (p *drawing) deed(d picture.Deed, a at) {
	if d.Number == 0 {
		p.fill(p.dim, at{a.x, a.y - 5}, at{a.x + 4, a.y}, at{a.x, a.y + 5}, at{a.x - 4, a.y})
		return
	}
	p.disc(p.ink, a, discWidth/2)
	p.text(p.paper, p.bold, 11, at{a.x, a.y + 4}, centred, strconv.Itoa(d.Number))
}

func (p *drawing) ticks() []picture.Tick {
	const character = 7.4
	return picture.Ticks(p.charts[0].From, p.charts[0].To, int((p.right-p.left)/character))
}

func (p *drawing) dates() {
	base := p.y - panelGap/2 + 16
	for _, t := range p.ticks() {
		x := p.x(t.At)
		if x+p.width(p.regular, fontSize, t.Label)/2 < p.right+10 {
			p.text(p.dim, p.regular, fontSize, at{x, base}, centred, t.Label)
		}
	}
	p.y += datesHeight
}

// key is what the marks stand for.
func (p *drawing) key() []picture.Keyed {
	return picture.Listed(p.deeds, p.charts[0].From.Location())
}

// writeKey writes as much of it as has room.
func (p *drawing) writeKey(most int) {
	lines := p.key()
	for _, k := range lines[:min(most, len(lines))] {
		base := p.y + 8
		if k.Of.Text != "" {
			p.deed(k.Of, at{p.left - 12, base - 4})
		}
		p.text(p.ink, p.regular, fontSize, at{p.left + 4, base}, toRight,
			p.cut(p.regular, fontSize, p.right+rightMargin-p.left-24, k.Text))
		p.y += keyHeight
	}
}
