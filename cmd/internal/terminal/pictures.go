package terminal

import (
	"bufio"
	"cmp"
	"encoding/base64"
	"fmt"
	"image"
	"image/color"
	"io"
	"maps"
	"os"
	"regexp"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/x/term"
)

// Protocol is how a terminal takes pictures.
type Protocol int

const (
	NoPictures Protocol = iota
	Sixel               // DEC STD 070, chapter 9: rows of six pixels
	Kitty               // the graphics protocol of kitty: https://sw.kovidgoyal.net/kitty/graphics-protocol/
)

// askPictures asks for the graphics protocol with a picture of one pixel that is not to be shown, and then for the
// primary device attributes, which every terminal answers: what has not come before that answer does not come.
const askPictures = "\x1b_Gi=31,s=1,v=1,a=q,t=d,f=24;AAAA\x1b\\" + "\x1b[c"

// attributes are the primary device attributes; 4 among them is sixel.
var attributes = regexp.MustCompile(`\x1b\[\?([0-9;]*)c`)

// AskPictures asks a terminal whether it shows pictures, and gives up after a time: some answer nothing.
func AskPictures(tty *os.File, patience time.Duration) Protocol {
	before, err := term.MakeRaw(tty.Fd())
	if err != nil {
		return NoPictures
	}
	defer func() { _ = term.Restore(tty.Fd(), before) }()
	if _, err := io.WriteString(tty, askPictures); err != nil {
		return NoPictures
	}
	_ = tty.SetReadDeadline(time.Now().Add(patience)) // where it has none, the reading is left alone below
	answer := make(chan string, 1)
	go func() {
		var said strings.Builder
		for one := make([]byte, 1); !attributes.MatchString(said.String()); {
			if _, err := tty.Read(one); err != nil {
				break
			}
			said.Write(one)
		}
		answer <- said.String()
	}()
	select {
	case said := <-answer:
		return protocolIn(said)
	case <-time.After(patience):
		return NoPictures
	}
}

func protocolIn(answer string) Protocol {
	if strings.Contains(answer, "\x1b_Gi=31;OK") {
		return Kitty
	}
	if found := attributes.FindStringSubmatch(answer); found != nil && slices.Contains(strings.Split(found[1], ";"), "4") {
		return Sixel
	}
	return NoPictures
}

// WriteKitty shows a PNG, in pieces of at most 4096 characters as the protocol wants them.
func WriteKitty(w io.Writer, png []byte) error {
	const piece = 4096
	text, head := base64.StdEncoding.EncodeToString(png), "a=T,f=100,"
	for len(text) > 0 {
		n, more := min(piece, len(text)), 0
		if n < len(text) {
			more = 1
		}
		if _, err := fmt.Fprintf(w, "\x1b_G%sm=%d;%s\x1b\\", head, more, text[:n]); err != nil {
			return err
		}
		text, head = text[n:], ""
	}
	_, err := io.WriteString(w, "\n")
	return err
}

// sixelColours is how many colours a terminal is sure to have.
const sixelColours = 256

// WriteSixel shows a picture: a palette of the colours it has most of, then for every six rows each colour in turn.
func WriteSixel(w io.Writer, m image.Image) error {
	b := bufio.NewWriter(w)
	size := m.Bounds().Size()
	palette, nearest := paletteOf(m)
	fmt.Fprintf(b, "\x1bPq\"1;1;%d;%d", size.X, size.Y)
	for i, c := range palette {
		percent := func(v uint32) uint32 { return (v*100 + 0x7fff) / 0xffff }
		red, green, blue, _ := c.RGBA()
		fmt.Fprintf(b, "#%d;2;%d;%d;%d", i, percent(red), percent(green), percent(blue))
	}
	const high = 6
	for top := 0; top < size.Y; top += high {
		rows := map[int][]byte{} // the six pixels of every column, by colour
		for y := top; y < min(top+high, size.Y); y++ {
			for x := range size.X {
				i := nearest[colourAt(m, x, y)]
				if rows[i] == nil {
					rows[i] = make([]byte, size.X)
				}
				rows[i][x] |= 1 << (y - top)
			}
		}
		for i := range palette {
			if rows[i] == nil {
				continue
			}
			fmt.Fprintf(b, "#%d", i)
			for x := 0; x < size.X; {
				n := x
				for n < size.X && rows[i][n] == rows[i][x] {
					n++
				}
				fmt.Fprintf(b, "!%d%c", n-x, '?'+rows[i][x])
				x = n
			}
			b.WriteByte('$')
		}
		b.WriteByte('-')
	}
	b.WriteString("\x1b\\\n")
	return b.Flush()
}

// paletteOf are the colours that a picture has most of, and for each of its colours which of them comes nearest.
func paletteOf(m image.Image) (palette color.Palette, nearest map[color.NRGBA]int) {
	count := map[color.NRGBA]int{}
	for y := range m.Bounds().Dy() {
		for x := range m.Bounds().Dx() {
			count[colourAt(m, x, y)]++
		}
	}
	order := func(c color.NRGBA) int { return -count[c]<<24 + int(c.R)<<16 + int(c.G)<<8 + int(c.B) }
	all := slices.SortedFunc(maps.Keys(count), func(a, b color.NRGBA) int { return cmp.Compare(order(a), order(b)) })
	nearest = map[color.NRGBA]int{}
	for i, c := range all {
		if i < sixelColours {
			palette = append(palette, c)
		}
		nearest[c] = palette.Index(c)
	}
	return palette, nearest
}

func colourAt(m image.Image, x, y int) color.NRGBA {
	return color.NRGBAModel.Convert(m.At(m.Bounds().Min.X+x, m.Bounds().Min.Y+y)).(color.NRGBA)
}
