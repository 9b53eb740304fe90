package terminal

import (
	"bytes"
	"image"
	"io"
	"os"
	"regexp"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/x/ansi"
	"github.com/charmbracelet/x/ansi/kitty"
	"github.com/charmbracelet/x/ansi/sixel"
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

// WriteKitty shows a picture, in the pieces that the protocol wants.
func WriteKitty(w io.Writer, m image.Image) error {
	opt := kitty.Options{Action: kitty.TransmitAndPut, Format: kitty.PNG, Transmission: kitty.Direct, Chunk: true}
	if err := kitty.EncodeGraphics(w, m, &opt); err != nil {
		return err
	}
	_, err := io.WriteString(w, "\n")
	return err
}

// WriteSixel shows a picture in the 256 colours that a terminal is sure to have.
func WriteSixel(w io.Writer, m image.Image) error {
	var made bytes.Buffer
	if err := new(sixel.Encoder).Encode(&made, m); err != nil {
		return err
	}
	_, err := io.WriteString(w, ansi.SixelGraphics(-1, 1, 0, made.Bytes())+"\n")
	return err
}
