package report

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"leadline/alerts/picture"
	"leadline/alerts/words"
	"leadline/logbook"
)

// PictureOptions says how a picture is drawn.
type PictureOptions struct {
	SVG     bool
	Dark    bool
	Private bool // without the tank's name and the text of events
}

// The measures of a picture, in pixels: as wide as a forum shows it unshrunk.
const (
	pictureWidth = 900.0
	leftMargin   = 62.0
	rightMargin  = 118.0
	headHeight   = 66.0
	panelHead    = 26.0
	panelGap     = 14.0
	laneHeight   = 18.0
	datesHeight  = 24.0
	keyHeight    = 18.0
	footHeight   = 12.0
	mostEvents   = 8
	mostDiscs    = 240 // of more readings the line alone is drawn
	fontSize     = 12.5
)

// patterns of lines, so that none is told by its colour alone
var (
	floorDashes = []float64{7, 3, 2, 3}
	meanDashes  = []float64{5, 3}
)

// drawing is the state of drawing a picture.
type drawing struct {
	*pen
	palette
	charts  []picture.Chart
	events  []logbook.Event // those that are numbered
	private bool
	y       float64 // where the next part begins
}

// Picture draws the charts of one tank below each other on one time axis, as PNG or SVG. The same charts give the same
// bytes. There must be at least one.
func Picture(w io.Writer, charts []picture.Chart, opt PictureOptions) error {
	if len(charts) == 0 {
		panic("report: a picture needs a chart")
	}
	p := &drawing{palette: paletteOf(opt.Dark), charts: charts, events: newestEvents(charts[0].Done), private: opt.Private}
	panel := panelHeight(len(charts))
	lanes := p.lanes()
	height := headHeight + float64(len(charts))*(panelHead+panel+panelGap) + float64(len(lanes))*laneHeight + datesHeight + footHeight
	if !opt.Private {
		height += keyHeight * float64(len(p.events))
	}
	var err error
	if p.pen, err = newPen(pictureWidth, math.Ceil(height), opt.SVG, p.paper); err != nil {
		return err
	}
	p.head()
	p.y = headHeight
	for _, c := range charts {
		p.panel(c, panel)
	}
	for _, l := range lanes {
		p.lane(l)
	}
	p.dates()
	if !opt.Private {
		p.key()
	}
	return p.writeTo(w)
}

func panelHeight(n int) float64 {
	switch {
	case n == 1:
		return 260
	case n <= 3:
		return 170
	default:
		return 118
	}
}

// newestEvents are the events that find room in the key.
func newestEvents(done []logbook.Entry) []logbook.Event {
	var all []logbook.Event
	for _, e := range done {
		if e, ok := e.(logbook.Event); ok {
			all = append(all, e)
		}
	}
	return all[max(0, len(all)-mostEvents):]
}

func (p *drawing) x(t time.Time) float64 {
	return leftMargin + p.charts[0].Along(t)*(pictureWidth-leftMargin-rightMargin)
}

func (p *drawing) right() float64 { return pictureWidth - rightMargin }

// head is the title, and what the signs mean.
func (p *drawing) head() {
	c := p.charts[0]
	title := "As of " + words.Day(c.Now)
	if !p.private {
		title = p.cut(p.bold, 19, 560, words.OneLine(c.Finding.Tank.Name)) + ", as of " + words.Day(c.Now)
	}
	p.text(p.ink, p.bold, 19, at{16, 29}, toRight, title)
	x, y := 16.0, 52.0
	say := func(s string) { x += p.text(p.dim, p.regular, fontSize, at{x, y}, toRight, s) + 18 }
	p.mark(logbook.Reading{}, at{x + 5, y - 4.5})
	x += 15
	say("reading")
	if anyOf(p.charts, picture.Chart.Bounded) {
		p.mark(logbook.Reading{Bound: logbook.Below}, at{x + 5, y - 4.5})
		p.mark(logbook.Reading{Bound: logbook.Above}, at{x + 19, y - 4.5})
		x += 30
		say("below, above what the method sees")
	}
	if anyOf(p.charts, func(c picture.Chart) bool { return c.Finding.Band.Set() }) {
		p.fill(p.band, at{x, y - 10}, at{x + 22, y - 10}, at{x + 22, y}, at{x, y})
		p.line(p.bandEdge, 1, nil, at{x, y - 10}, at{x + 22, y - 10})
		p.line(p.bandEdge, 1, nil, at{x, y}, at{x + 22, y})
		x += 28
		say("band")
	}
	if anyOf(p.charts, func(c picture.Chart) bool { return !math.IsNaN(c.Finding.Band.Floor) }) {
		p.line(p.floor, 1.8, floorDashes, at{x, y - 4.5}, at{x + 26, y - 4.5})
		x += 32
		say("floor")
	}
	if !anyOf(p.charts, func(c picture.Chart) bool { return len(c.Fan()) > 0 }) {
		return
	}
	p.fill(p.fan, at{x, y - 6}, at{x + 26, y - 11}, at{x + 26, y + 1}, at{x, y - 4})
	p.line(p.mean, 1.8, meanDashes, at{x, y - 5}, at{x + 26, y - 5})
	x += 32
	say("forecast of the true level: mean, and 10–90 % range")
}

func anyOf(charts []picture.Chart, holds func(picture.Chart) bool) bool {
	return slices.ContainsFunc(charts, holds)
}

// panel draws one parameter.
func (p *drawing) panel(c picture.Chart, height float64) {
	base := p.y + panelHead - 8
	w := p.text(p.ink, p.bold, 14, at{leftMargin, base}, toRight, nameOf(c))
	w = 1.12*w + 14 // where an SVG is shown with another font, that may be wider
	room := pictureWidth - 16 - leftMargin - w
	p.text(p.dim, p.regular, fontSize, at{leftMargin + w, base}, toRight, p.cut(p.regular, fontSize, room, states(c)))
	top := p.y + panelHead
	bottom := top + height
	p.y = bottom + panelGap
	scale, ok := c.Scale(true)
	if !ok {
		p.frame(top, bottom)
		p.text(p.dim, p.regular, fontSize, at{(leftMargin + p.right()) / 2, (top + bottom) / 2}, centred, "no readings since "+words.Day(c.From))
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
		if points = fromLeft(points); len(points) > 1 {
			p.line(p.joining, 1.5, nil, points...)
		}
	}
	seen := c.Seen()
	for _, r := range seen {
		p.readingMark(c, r, at{p.x(r.Time), y(r.Value)}, scale, len(seen) <= mostDiscs)
	}
	p.edges(c, scale, top, bottom, y)
}

// fromLeft is the part of a line that lies right of the axis, where it may come in between two readings.
func fromLeft(points []at) []at {
	for i, b := range points {
		switch {
		case b.x < leftMargin:
		case i == 0:
			return points
		default:
			a := points[i-1]
			points[i-1] = at{leftMargin, a.y + (leftMargin-a.x)/(b.x-a.x)*(b.y-a.y)}
			return points[i-1:]
		}
	}
	return nil
}

// bandAndGrid is all that lies under the readings.
func (p *drawing) bandAndGrid(c picture.Chart, scale picture.Scale, top, bottom float64, y func(float64) float64) {
	b := c.Finding.Band
	left, right := leftMargin, p.right()
	if b.Set() {
		low, high := bottom, top
		if !math.IsNaN(b.Low) {
			low = y(b.Low)
		}
		if !math.IsNaN(b.High) {
			high = y(b.High)
		}
		p.fill(p.band, at{left, high}, at{right, high}, at{right, low}, at{left, low})
	}
	steps, digits := c.Steps(scale, math.Max(2, (bottom-top)/38))
	for _, v := range steps {
		p.line(p.grid, 1, nil, at{left, y(v)}, at{right, y(v)})
		p.text(p.dim, p.regular, fontSize, at{left - 7, y(v) + 4.5}, toLeft, strconv.FormatFloat(v, 'f', digits, 64))
	}
	for _, t := range p.ticks() {
		p.line(p.grid, 1, nil, at{p.x(t.At), top}, at{p.x(t.At), bottom})
	}
	for _, e := range p.events {
		p.line(p.dim, 1, []float64{1, 4}, at{p.x(e.Time), top}, at{p.x(e.Time), bottom})
	}
	p.frame(top, bottom)
	p.line(p.dim, 1, nil, at{p.x(c.Now), top}, at{p.x(c.Now), bottom})
	for _, edge := range []float64{b.Low, b.High} {
		if !math.IsNaN(edge) && !scale.Beyond(edge) {
			p.line(p.bandEdge, 1, nil, at{left, y(edge)}, at{right, y(edge)})
		}
	}
	if !math.IsNaN(b.Floor) && !scale.Beyond(b.Floor) {
		p.line(p.floor, 1.8, floorDashes, at{left, y(b.Floor)}, at{right, y(b.Floor)})
	}
}

func (p *drawing) frame(top, bottom float64) {
	p.line(p.dim, 1, nil, at{leftMargin, top}, at{leftMargin, bottom}, at{p.right(), bottom})
}

// fanOf draws the forecast.
func (p *drawing) fanOf(c picture.Chart, y func(float64) float64) {
	fan := c.Fan()
	if len(fan) == 0 {
		return
	}
	var upper, lower, mean []at
	for _, f := range fan {
		x := p.x(f.Time)
		upper, lower, mean = append(upper, at{x, y(f.Hi)}), append([]at{{x, y(f.Lo)}}, lower...), append(mean, at{x, y(f.Mean)})
	}
	p.fill(p.fan, append(slices.Clone(upper), lower...)...)
	for _, edge := range [][]at{upper, lower} {
		p.line(faded(p.mean, 130), 0.8, nil, edge...)
	}
	p.line(p.mean, 1.8, meanDashes, mean...)
}

// edges writes the exact numbers of band and floor beside their lines, one below the other where they lie close, and with
// an arrow at the end of the axis beyond which they lie.
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
		p.text(colour, p.regular, fontSize, at{p.right() + 7, base}, toRight, text)
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

// lane is a row of marks under the panels.
type lane struct {
	name  string
	marks []laneMark
}

type laneMark struct {
	at   time.Time
	sign string // a number in a ring; "" for a plain mark
}

// lanes are what was done to the tank, of doses and dosing only those for what is drawn. Events are numbered.
func (p *drawing) lanes() []lane {
	var used []lane
	for _, l := range []struct {
		kind logbook.Kind
		name string
	}{{logbook.KindEvent, "events"}, {logbook.KindWaterChange, "water changes"}, {logbook.KindDose, "doses"}, {logbook.KindDosing, "dosing set"}} {
		marks := p.marks(l.kind)
		if len(marks) > 0 {
			used = append(used, lane{l.name, marks})
		}
	}
	return used
}

func (p *drawing) marks(kind logbook.Kind) (out []laneMark) {
	for _, e := range p.charts[0].Done {
		drawn := anyOf(p.charts, func(c picture.Chart) bool { return c.Concerns(e) })
		if e.Kind() == kind && kind != logbook.KindEvent && drawn {
			out = append(out, laneMark{at: e.When()})
		}
	}
	for i, e := range p.events {
		if kind == logbook.KindEvent {
			out = append(out, laneMark{e.Time, strconv.Itoa(i + 1)})
		}
	}
	return out
}

func (p *drawing) lane(l lane) {
	middle := p.y - panelGap/2 + laneHeight/2
	p.line(p.grid, 1, nil, at{leftMargin, middle}, at{p.right(), middle})
	p.text(p.dim, p.regular, fontSize, at{p.right() + 7, middle + 4.5}, toRight, l.name)
	for _, m := range l.marks {
		a := at{p.x(m.at), middle}
		if m.sign != "" {
			p.numbered(m.sign, a)
			continue
		}
		p.fill(p.dim, at{a.x, a.y - 5}, at{a.x + 4, a.y}, at{a.x, a.y + 5}, at{a.x - 4, a.y})
	}
	p.y += laneHeight
}

func (p *drawing) numbered(sign string, a at) {
	p.disc(p.ink, a, 8)
	p.text(p.paper, p.bold, 11, at{a.x, a.y + 4}, centred, sign)
}

func (p *drawing) ticks() []picture.Tick {
	const character = 7.4
	return picture.Ticks(p.charts[0].From, p.charts[0].To, int((p.right()-leftMargin)/character))
}

func (p *drawing) dates() {
	base := p.y - panelGap/2 + 16
	for _, t := range p.ticks() {
		x := p.x(t.At)
		if x+p.width(p.regular, fontSize, t.Label)/2 < p.right()+10 {
			p.text(p.dim, p.regular, fontSize, at{x, base}, centred, t.Label)
		}
	}
	p.y += datesHeight
}

// key says what the numbered events were.
func (p *drawing) key() {
	zone := p.charts[0].From.Location()
	for i, e := range p.events {
		base := p.y + 8
		p.numbered(strconv.Itoa(i+1), at{leftMargin - 12, base - 4})
		text := fmt.Sprintf("%s  %s", words.ShortDay(e.Time.In(zone)), words.Known{}.Entry(e))
		p.text(p.ink, p.regular, fontSize, at{leftMargin + 4, base}, toRight, p.cut(p.regular, fontSize, pictureWidth-leftMargin-24, strings.TrimSpace(text)))
		p.y += keyHeight
	}
}
