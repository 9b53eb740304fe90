package tui

import (
	"fmt"
	"slices"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts/picture"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/tui/part"
)

// year is the course of a tank, every parameter over the same stretch of time, alone or beside that of another tank.
type year struct {
	ofTank
	part.List
	beside string // the other tank; "": none
	zoom   int    // index into zooms
	yearFound
	each int // rows of each chart, as they were drawn
}

type yearFound struct {
	tanks  [][]picture.Chart
	others []string // the other tanks of the book
}

func newYear(e *part.Env, t logbook.Tank, as part.Place) *year {
	return &year{ofTank: newOfTank(e, t), beside: as.OverTank, zoom: zoomOf(as.Days, zoomOf(picture.YearDays, usualZoom))}
}

func (y *year) from() time.Time { return y.now().Add(-part.Hours(zooms()[y.zoom] * 24)) }

func (y *year) Init() tea.Cmd {
	t, beside, from, to, usual := y.tank, y.beside, y.from(), y.now(), y.Order
	return part.AskAnew(&y.Page, func(v *logbook.View) (found yearFound, err error) {
		all, err := v.Tanks()
		if err != nil {
			return found, err
		}
		shown := []logbook.Tank{t}
		for _, other := range all {
			if other.Name != t.Name {
				found.others = append(found.others, other.Name)
			}
			if other.Name == beside {
				shown = append(shown, other)
			}
		}
		found.tanks, err = picture.Course(v, shown, nil, usual, from, to)
		return found, err
	}, y.fill)
}

func (y *year) fill(found yearFound) tea.Cmd {
	y.Loaded, y.yearFound = true, found
	y.Clamp(y.count())
	return nil
}

func (y *year) count() int {
	if len(y.tanks) == 0 {
		return 0
	}
	return len(y.tanks[0])
}

func (y *year) Commands() []part.Command {
	zoomBy := func(steps int) func() tea.Cmd {
		return func() tea.Cmd {
			y.zoom = max(0, min(y.zoom+steps, len(zooms())-1))
			return y.Init()
		}
	}
	return slices.Concat(
		part.Under("the year",
			part.On("enter", "open", y.open).Foot(1).When(y.count() > 0),
			part.On("O", "another tank beside", y.other).Foot(2),
			part.On("-", "wider", zoomBy(1)).Foot(3),
			part.On("+ =", "closer", zoomBy(-1)).Foot(4),
			part.On("E", "export", part.Always(part.AskExport)).Muted()),
		y.Moves("the year", y.count(), 5))
}

func (y *year) open() tea.Cmd {
	as := part.Place{Parameter: y.tanks[0][y.At].Finding.Parameter.Name, Days: zooms()[y.zoom], OverTank: y.beside}
	if y.beside != "" {
		as.Over = as.Parameter
	}
	return part.Open(part.OfTank(newParameterScreen, y.tank, as))
}

// other goes through the other tanks and ends with none.
func (y *year) other() tea.Cmd {
	if len(y.others) == 0 {
		return part.Notice("there is no other tank")
	}
	y.beside = nextOf(y.others, y.beside)
	return y.Init()
}

func (y *year) About() part.About {
	title := part.Clean(y.tank.Name) + " · "
	if y.beside != "" {
		title = part.Clean(y.tank.Name) + " beside " + part.Clean(y.beside) + " · "
	}
	return part.About{Title: title + spanWords(zooms()[y.zoom]), Zone: y.tank.Zone(),
		Place: part.Place{Screen: part.OnYear, Tank: y.tank.Name, Days: zooms()[y.zoom], OverTank: y.beside},
		Shows: part.Exported{Tank: y.tank, From: y.from(), AsOf: y.now()}}
}

func spanWords(days float64) string {
	if years := days / picture.YearDays; years >= 1 {
		return words.Plural(int(years), "year", "years")
	}
	return fmt.Sprintf("%.0f weeks", days/7)
}

func (y *year) View() string {
	switch {
	case y.count() == 0:
		return "\n  " + y.Dim.Render(part.Cut("nothing was measured in this stretch of time: - shows a longer one", y.W-2))
	}
	const mark = 2
	n := y.count()
	height := min(y.H, picture.PlotRows(n))
	y.Top, y.Row = part.Window(y.Top, y.At, n, picture.Room(n, height)), 1
	plots, each := picture.Plots(y.tanks, y.Top, y.W-mark, height)
	y.each = each
	var out []string
	for i, row := range plots {
		lead, _ := y.Marked(i == 1+(y.At-y.Top)*each, "")
		out = append(out, lead+y.Theme.Row(row))
	}
	for _, line := range picture.YearList(y.tanks, false) {
		out = append(out, part.Cut("  "+line, y.W))
	}
	return strings.Join(out[:min(len(out), max(1, y.H))], "\n")
}

func (y *year) Click(row, _ int) {
	if y.each > 0 && row >= y.Row && row < y.Row+y.each*(y.count()-y.Top) {
		y.Hit(y.Row+(row-y.Row)/y.each, y.count())
	}
}
