package about

import (
	_ "embed" // of the names of files and variables
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/usage"
)

func newMan(a *app.App, documents []Document) *cobra.Command {
	return a.CommandOf("man FOLDER", app.Words("leadline COMMAND --help says the same"),
		func(cmd *cobra.Command, args []string) error {
			n, err := writeManual(a, cmd.Root(), documents, args[0])
			if err == nil {
				a.Say("%s in %s", words.Plural(n, "page", "pages"), args[0])
			}
			return err
		})
}

func writeManual(a *app.App, root *cobra.Command, documents []Document, folder string) (pages int, err error) {
	root.InitDefaultHelpCmd()
	usage.Describe(root)
	texts, folder7 := map[string]string{}, folder
	if filepath.Base(folder) == "man1" {
		folder7 = filepath.Join(filepath.Dir(folder), "man7")
	}
	for _, cmd := range append([]*cobra.Command{root}, visible(root)...) {
		texts[filepath.Join(folder, pageName(cmd)+".1")] = manualPage(cmd, shape.Built())
	}
	for _, d := range documents {
		texts[filepath.Join(folder7, d.Name+".7")] = documentPage(d, shape.Built())
	}
	for _, path := range slices.Sorted(maps.Keys(texts)) {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			err = usage.ReadError(filepath.Dir(path), err)
			return pages, usage.WithHint(err, "name a folder; it is made where there is none")
		}
		if info, err := os.Lstat(path); err == nil && !info.Mode().IsRegular() {
			return pages, fmt.Errorf("%s: it is no plain file", path)
		}
		if err := a.WriteFile(path, true, app.Text(texts[path])); err != nil {
			return pages, err
		}
	}
	return len(texts), nil
}

func visible(cmd *cobra.Command) (cmds []*cobra.Command) {
	for _, c := range cmd.Commands() {
		if c.IsAvailableCommand() && c.Name() != "help" {
			cmds = append(cmds, c)
		}
	}
	return cmds
}

func pageName(cmd *cobra.Command) string { return strings.ReplaceAll(cmd.CommandPath(), " ", "-") }

// manual is a page in the making, in the language of man(7). Everything outside ASCII is written as an escape, so
// that no formatter has to guess the encoding. The pages of cobra/doc hold neither the variables and files nor the
// commands below one, and three more modules would make the program 600 kB larger.
type manual struct{ strings.Builder }

// manualPage is the page of a command of the first level, with those below it, or of the program.
func manualPage(cmd *cobra.Command, v shape.Version) string {
	var m manual
	m.head(pageName(cmd), "1", cmd.Short, v)
	m.section("SYNOPSIS")
	m.synopsis(cmd)
	m.section("DESCRIPTION")
	m.description(cmd)
	if subs := visible(cmd); len(subs) > 0 {
		m.section("COMMANDS")
		for _, c := range subs {
			if cmd.HasParent() {
				m.command(c)
			} else {
				m.term(`\fB`+roff(pageName(c))+`\fP(1)`, roff(c.Short))
			}
		}
	}
	m.flags("OPTIONS", cmd.NonInheritedFlags())
	m.flags("OPTIONS OF EVERY COMMAND", cmd.InheritedFlags())
	m.section("EXIT STATUS")
	for _, e := range usage.ExitTable() {
		m.term(strconv.Itoa(e.Code), roff(e.Meaning))
	}
	variables, files := Surroundings()
	m.words("ENVIRONMENT", `\fB`, variables)
	m.words("FILES", `\fI`, files)
	if cmd.Example != "" {
		m.section("EXAMPLES")
		m.code(cmd.Example)
	}
	m.section("SEE ALSO")
	if cmd.HasParent() {
		m.lines(`\fBleadline\fP(1)`)
	} else {
		m.lines(`\fBleadline\-guide\fP(7), \fBleadline\-tutorial\fP(7), \fBleadline\-sharing\fP(7)`, ".PP",
			roff("leadline COMMAND --help says the same of a command, and leadline demo shows an invented logbook."))
	}
	return m.String()
}

// head is the head of a page, with its name and what that is.
func (m *manual) head(name, section, short string, v shape.Version) {
	day, _, _ := strings.Cut(v.Time, "T")
	fmt.Fprintf(m, `.TH "%s" %s "%s" "%s" "leadline"`+"\n", roff(strings.ToUpper(name)), section, day,
		roff("leadline "+v.Version))
	m.section("NAME")
	m.lines(roff(name) + ` \- ` + roff(short))
}

func (m *manual) lines(lines ...string) { m.WriteString(strings.Join(lines, "\n") + "\n") }

func (m *manual) section(head string) { m.lines(".SH " + head) }

func (m *manual) term(term, text string) { m.lines(".TP", term, text) }

// words is a section of names in a font, each with what it means.
func (m *manual) words(head, font string, names []word) {
	m.section(head)
	for _, n := range names {
		m.term(font+roff(n.Name)+`\fP`, roff(n.meaning))
	}
}

func (m *manual) synopsis(cmd *cobra.Command) {
	name := `\fB` + roff(cmd.CommandPath()) + `\fP`
	subs := len(visible(cmd)) > 0
	if !subs || !usage.HoldsOnly(cmd) {
		m.lines(name+roff(strings.TrimPrefix(cmd.UseLine(), cmd.CommandPath())), ".br")
	}
	if subs {
		m.lines(name + " [command]")
	}
}

// command is a command below another, as a part of that one's page.
func (m *manual) command(cmd *cobra.Command) {
	m.lines(`.SS "` + roff(cmd.CommandPath()) + `"`)
	m.synopsis(cmd)
	m.lines(".PP")
	m.description(cmd)
	cmd.NonInheritedFlags().VisitAll(m.flag)
	if cmd.Example != "" {
		m.lines(".PP")
		m.code(cmd.Example)
	}
}

// description is the long help: its paragraphs, and its indented lines as they stand.
func (m *manual) description(cmd *cobra.Command) {
	text := cmd.Long
	if text == "" {
		text = strings.ToUpper(cmd.Short[:1]) + cmd.Short[1:] + "."
	}
	for i, block := range strings.Split(text, "\n\n") {
		if i > 0 {
			m.lines(".PP")
		}
		if block = strings.ReplaceAll(block, "\t", "  "); strings.HasPrefix(block, "  ") {
			m.code(block)
			continue
		}
		for line := range strings.SplitSeq(block, "\n") {
			m.lines(roff(line))
		}
	}
}

// code is text that keeps its lines.
func (m *manual) code(text string) {
	m.lines(".RS 2", ".nf")
	for line := range strings.SplitSeq(text, "\n") {
		if line = strings.TrimPrefix(line, "  "); line == "" {
			m.lines(".sp")
			continue
		}
		m.lines(roff(line))
	}
	m.lines(".fi", ".RE")
}

func (m *manual) flags(head string, flags *pflag.FlagSet) {
	if !flags.HasAvailableFlags() {
		return
	}
	m.section(head)
	flags.VisitAll(m.flag)
}

func (m *manual) flag(f *pflag.Flag) {
	if f.Hidden || f.Name == "help" {
		return
	}
	value, usage := pflag.UnquoteUsage(f)
	name := `\fB` + roff("--"+f.Name) + `\fP`
	if f.Shorthand != "" {
		name = `\fB` + roff("-"+f.Shorthand) + `\fP, ` + name
	}
	if value != "" {
		name += ` \fI` + roff(value) + `\fP`
	}
	switch f.DefValue {
	case "", "false", "0", "[]":
	default:
		usage += " (default " + f.DefValue + ")"
	}
	m.term(name, roff(usage))
}

// roff escapes text for man(7): what it would take for a command or turn into a typographic sign, and all beyond ASCII.
func roff(s string) string {
	var b strings.Builder
	if strings.HasPrefix(s, ".") || strings.HasPrefix(s, "'") {
		b.WriteString(`\&`)
	}
	escapes := strings.NewReplacer(`\`, `\e`, "-", `\-`, "'", `\(aq`, "`", `\(ga`, "~", `\(ti`, "^", `\(ha`, `"`, `\(dq`)
	for _, r := range escapes.Replace(s) {
		if r > '~' {
			fmt.Fprintf(&b, `\[u%04X]`, r)
			continue
		}
		b.WriteRune(r)
	}
	return b.String()
}

//go:embed surroundings.txt
var surroundings string

// word is a name with what it means.
type word struct{ Name, meaning string }

// Surroundings are the variables that the program looks at, and the files that it makes or reads unasked.
func Surroundings() (variables, files []word) {
	above, below, _ := strings.Cut(strings.ReplaceAll(surroundings, "\r", ""), "\n\n")
	read := func(text string) []word {
		return words.Of(strings.Split(strings.TrimSpace(text), "\n"), func(line string) word {
			name, meaning, _ := strings.Cut(line, ": ")
			return word{name, meaning}
		})
	}
	return read(above), read(below)
}

// Document is a text in Markdown that becomes a page of section 7 of the manual.
type Document struct{ Name, Text string }

// Marks of Markdown within a paragraph.
var (
	strong   = regexp.MustCompile("`([^`]+)`|\\*\\*([^*]+)\\*\\*")
	emphasis = regexp.MustCompile(`\*([^*\s][^*]*)\*`)
	link     = regexp.MustCompile(`!?\[([^]]*)\]\([^)]*\)`)
)

// documentPage is a document as a page. Pictures, and the texts that stand for them, are left out.
func documentPage(d Document, v shape.Version) string {
	var m manual
	title, text, _ := strings.Cut(strings.TrimPrefix(d.Text, "# "), "\n")
	m.head(d.Name, "7", title, v)
	m.section("DESCRIPTION")
	var paragraph, code []string
	inCode, hidden := false, false
	end := func() {
		if len(paragraph) > 0 {
			m.lines(marked(strings.Join(paragraph, " ")))
		}
		paragraph = nil
	}
	for line := range strings.SplitSeq(text, "\n") {
		switch {
		case strings.HasPrefix(strings.TrimSpace(line), "<") && !inCode:
			hidden = strings.HasPrefix(line, "<details") || hidden && !strings.HasPrefix(line, "</details")
		case hidden:
		case strings.HasPrefix(line, "```"):
			end()
			if inCode = !inCode; !inCode {
				m.code(strings.Join(code, "\n"))
				code = nil
			}
		case inCode:
			code = append(code, "  "+line)
		case strings.HasPrefix(line, "## "):
			m.section(`"` + roff(strings.ToUpper(line[3:])) + `"`)
		case strings.HasPrefix(line, "### "):
			m.lines(`.SS "` + roff(line[4:]) + `"`)
		case strings.HasPrefix(line, "- "):
			end()
			m.lines(`.IP \(bu 2`)
			paragraph = []string{line[2:]}
		case line == "":
			end()
			m.lines(".PP")
		case !strings.HasPrefix(line, "!["):
			paragraph = append(paragraph, strings.TrimSpace(line))
		}
	}
	end()
	m.section("SEE ALSO")
	m.lines(`\fBleadline\fP(1), \fBleadline\-guide\fP(7), \fBleadline\-tutorial\fP(7)`)
	return m.String()
}

// marked is a paragraph with its strong words bold and its stressed ones in italics.
func marked(text string) string {
	const bold, italic, plain = "\x01", "\x02", "\x03"
	text = strong.ReplaceAllString(link.ReplaceAllString(text, "$1"), bold+"$1$2"+plain)
	text = roff(emphasis.ReplaceAllString(text, italic+"$1"+plain))
	return strings.NewReplacer(bold, `\fB`, italic, `\fI`, plain, `\fP`).Replace(text)
}
