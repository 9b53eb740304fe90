//go:build unix

package terminal

import (
	"encoding/base64"
	"image"
	"image/color"
	"image/png"
	"io"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/creack/pty"
)

// A terminal is asked, and what it answers is understood; one that is silent is not waited for.
func TestAskPictures(t *testing.T) {
	for answer, want := range map[string]Protocol{
		"\x1b[?62;4;22c":                      Sixel,
		"\x1b[?1;2c":                          NoPictures,
		"\x1b[?64;14;24c":                     NoPictures, // no 4 among them
		"\x1b_Gi=31;OK\x1b\\\x1b[?62c":        Kitty,
		"\x1b_Gi=31;ENODATA\x1b\\\x1b[?62;4c": Sixel,
		"":                                    NoPictures,
	} {
		keyboard, tty, err := pty.Open()
		if err != nil {
			t.Skip(err)
		}
		asked := make(chan string, 1)
		go func() {
			said := make([]byte, len(askPictures))
			_, _ = io.ReadFull(keyboard, said)
			asked <- string(said)
			_, _ = io.WriteString(keyboard, answer)
		}()
		patience := 20 * time.Second
		if answer == "" {
			patience = 50 * time.Millisecond
		}
		if got := AskPictures(tty, patience); got != want {
			t.Errorf("%q: %v, want %v", answer, got, want)
		}
		if said := <-asked; said != askPictures {
			t.Errorf("asked %q", said)
		}
		_ = tty.Close()
		_ = keyboard.Close()
	}
}

// What is written as sixel is the picture, read back by the rules of the format.
func TestSixelReadsBack(t *testing.T) {
	m := image.NewNRGBA(image.Rect(0, 0, 23, 14))
	colours := []color.NRGBA{{0, 0, 0, 255}, {255, 255, 255, 255}, {255, 0, 51, 255}, {0, 102, 204, 255}}
	for y := range 14 {
		for x := range 23 {
			m.SetNRGBA(x, y, colours[(x/3+y*y)%4])
		}
	}
	var b strings.Builder
	if err := WriteSixel(&b, m); err != nil {
		t.Fatal(err)
	}
	body, found := strings.CutPrefix(b.String(), "\x1bP;1q\"1;1;23;14")
	body, ended := strings.CutSuffix(body, "\x1b\\\n")
	if !found || !ended {
		t.Fatalf("%q", b.String())
	}
	palette := map[int]color.NRGBA{}
	x, top, now := 0, 0, 0
	number := func() int {
		n := len(body) - len(strings.TrimLeft(body, "0123456789"))
		v, _ := strconv.Atoi(body[:n])
		body = body[n:]
		return v
	}
	for body != "" {
		c := body[0]
		body = body[1:]
		times := 1
		switch c {
		case '#':
			now = number()
			if strings.HasPrefix(body, ";2;") {
				var rgb [3]uint8
				body = body[2:]
				for i := range rgb {
					body = body[1:]
					rgb[i] = uint8((number()*255 + 50) / 100)
				}
				palette[now] = color.NRGBA{rgb[0], rgb[1], rgb[2], 255}
			}
			continue
		case '$':
			x = 0
			continue
		case '-':
			x, top = 0, top+6
			continue
		case '!':
			times = number()
			c, body = body[0], body[1:]
		}
		for range times {
			for bit := range 6 {
				if (c-'?')>>bit&1 == 1 && m.NRGBAAt(x, top+bit) != palette[now] {
					t.Fatalf("pixel %d, %d is %v, want %v", x, top+bit, palette[now], m.NRGBAAt(x, top+bit))
				} else if (c-'?')>>bit&1 == 1 {
					m.SetNRGBA(x, top+bit, color.NRGBA{1, 2, 3, 4}) // drawn
				}
			}
			x++
		}
	}
	for i, v := range m.Pix {
		if want := []byte{1, 2, 3, 4}[i%4]; v != want {
			t.Fatalf("not all was drawn: %d is %d", i, v)
		}
	}
}

func TestKittyPieces(t *testing.T) {
	m := image.NewNRGBA(image.Rect(0, 0, 60, 60))
	noise := rand.New(rand.NewPCG(1, 1))
	for i := range m.Pix {
		m.Pix[i] = byte(noise.Uint32()) | byte(255*(i%4/3)) // opaque
	}
	var b strings.Builder
	if err := WriteKitty(&b, m); err != nil {
		t.Fatal(err)
	}
	whole := ""
	pieces := strings.Split(strings.TrimSuffix(b.String(), "\x1b\\\n"), "\x1b\\")
	if len(pieces) < 2 {
		t.Fatalf("%d pieces of a picture of several", len(pieces))
	}
	for i, p := range pieces {
		head, data, _ := strings.Cut(p, ";")
		options := strings.Split(strings.TrimPrefix(head, "\x1b_G"), ",")
		first, last := slices.Contains(options, "a=T") && slices.Contains(options, "f=100"), slices.Contains(options, "m=0")
		if len(data) > 4096 || first != (i == 0) || last != (i == len(pieces)-1) {
			t.Errorf("piece %d: %q with %d characters", i, head, len(data))
		}
		whole += data
	}
	got, err := png.Decode(base64.NewDecoder(base64.StdEncoding, strings.NewReader(whole)))
	if err != nil || !slices.Equal(got.(*image.RGBA).Pix, m.Pix) {
		t.Errorf("the pieces are not the picture: %v", err)
	}
}
