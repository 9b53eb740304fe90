package importing

import (
	"errors"
	"fmt"
	"maps"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

// mapping says how the tables of one sort are read: which column holds what, and all else that is said beside a file.
// Saved ones lie in a file beside the settings, not in the book: they are about the files that come to this computer
// and say nothing about the water, they are wanted for every book here, and so a book of any version reads as before.
type mapping struct {
	Header       []string          `json:"header,omitempty"` // of the table it was saved with
	Map          map[string]string `json:"map,omitempty"`
	Ignore       []string          `json:"ignore,omitempty"`
	Skip         int               `json:"skip,omitempty"`
	Sheet        string            `json:"sheet,omitempty"`
	Tank         string            `json:"tank,omitempty"`
	Parameter    string            `json:"parameter,omitempty"`
	Unit         string            `json:"unit,omitempty"`
	Units        map[string]string `json:"units,omitempty"`
	Method       string            `json:"method,omitempty"`
	Timezone     string            `json:"timezone,omitempty"`
	DateOrder    string            `json:"date_order,omitempty"`
	Delimiter    string            `json:"delimiter,omitempty"`
	DecimalComma bool              `json:"decimal_comma,omitempty"`
}

// mappingsName is the file of saved mappings, in the folder of the settings.
const mappingsName = "mappings.json"

func newMapping(a *app.App) *cobra.Command {
	list := a.Command("list", []mappingJSON{}, func([]string) error { return listMappings(a) })
	remove := a.Command("remove NAME", app.Words("leadline mapping list --json has those that are left"),
		func(args []string) error { return removeMapping(a, args[0]) })
	remove.ValidArgsFunction = app.First(completeMappings(a))
	cmd := usage.Group("mapping", list, remove)
	return cmd
}

func mappingsPath(a *app.App) (string, error) {
	path, _ := a.SettingsPath()
	if path == "" {
		return "", usage.Errorf("set LEADLINE_CONFIG to a file in a folder of your own",
			"no home folder is known, so there is no place for saved mappings")
	}
	return filepath.Join(filepath.Dir(path), mappingsName), nil
}

// mappings reads the saved ones; a file that is not there holds none.
func mappings(a *app.App) (map[string]mapping, error) {
	path, err := mappingsPath(a)
	if err != nil {
		return nil, err
	}
	saved := map[string]mapping{}
	return saved, app.ReadOwnJSON(path, &saved, "put it right or remove it; it holds only saved mappings")
}

func writeMappings(a *app.App, saved map[string]mapping) error {
	path, err := mappingsPath(a)
	if err != nil {
		return err
	}
	return a.WriteOwnJSON(path, saved)
}

// saveMapping keeps how a table was read.
func saveMapping(a *app.App, name string, m mapping, header []string) error {
	saved, err := mappings(a)
	if err != nil {
		return err
	}
	_, replaced := saved[name]
	if m.Header = header; a.TankFlag != "" {
		m.Tank = a.TankFlag
	}
	saved[name] = m
	if err := writeMappings(a, saved); err != nil {
		return err
	}
	how := ""
	if replaced {
		how = ", in place of the one before"
	}
	a.Say("mapping %s saved%s: leadline import FILE --mapping %s", words.OneLine(name), how, shellWord(name))
	return nil
}

// checkSaving looks at --save-mapping before anything is read.
func checkSaving(a *app.App, opt importOptions) error {
	m := opt.mapping
	m.Header = nil
	switch name := opt.saveMapping; {
	case name == "":
		return nil
	case strings.TrimSpace(name) != name || words.OneLine(name) != name || len(name) > 60:
		return usage.Errorf("--save-mapping river", "--save-mapping: %q is not a name", name)
	case opt.dryRun || opt.preview:
		return usage.Errorf("leave out --dry-run and --preview, and the mapping is kept once the file is imported",
			"--save-mapping goes with an import")
	case a.TankFlag == "" && reflect.DeepEqual(m, mapping{}):
		return usage.Errorf("say how the file is read, as in --map time=Day",
			"--save-mapping: nothing is said that could be kept")
	}
	_, err := mappings(a) // one that cannot be read is told before the import, not behind it
	return err
}

// withMapping reads the saved mapping that is to be used. What is said on the command line goes before it.
func withMapping(a *app.App, opt importOptions) (importOptions, error) {
	if opt.usedMapping == "" {
		return opt, nil
	}
	saved, err := mappings(a)
	if err != nil {
		return opt, err
	}
	m, ok := saved[opt.usedMapping]
	if !ok {
		names := slices.Sorted(maps.Keys(saved))
		hint := "leadline import FILE --map … --save-mapping NAME saves one"
		if len(names) > 0 {
			hint = "saved are " + strings.Join(names, ", ")
		}
		return opt, usage.Errorf(logbook.DidYouMean(opt.usedMapping, names, hint), "there is no mapping %q", opt.usedMapping)
	}
	said := reflect.ValueOf(opt.mapping)
	for i, flag := range flagsOfMapping() {
		if opt.given(flag) {
			reflect.ValueOf(&m).Elem().Field(i).Set(said.Field(i))
		}
	}
	opt.mapping = m
	return opt, nil
}

// flagsOfMapping are the flags of import by the places of their fields in a mapping: their names in its file, with
// dashes.
func flagsOfMapping() (flags []string) {
	for _, f := range reflect.VisibleFields(reflect.TypeFor[mapping]()) {
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		flags = append(flags, strings.ReplaceAll(name, "_", "-"))
	}
	return flags
}

// mappingOfHeader finds the saved mapping whose table had this header; "" if none had.
func mappingOfHeader(a *app.App, header []string) string {
	saved, err := mappings(a)
	if err != nil || len(header) == 0 {
		return ""
	}
	for _, name := range slices.Sorted(maps.Keys(saved)) {
		if slices.EqualFunc(saved[name].Header, header, func(a, b string) bool { return strings.EqualFold(a, b) }) {
			return name
		}
	}
	return ""
}

// hintMapping puts into the hint of a refused table that a saved mapping is of its header.
func hintMapping(a *app.App, err error, opt importOptions, n *logbook.TableNotes) error {
	var refused logbook.Refusals
	if opt.usedMapping != "" || !errors.As(err, &refused) {
		return err
	}
	if name := mappingOfHeader(a, n.Header); name != "" {
		refused[0].Hint = "the header is that of a saved mapping: --mapping " + shellWord(name)
	}
	return err
}

// sayUnusedMapping says of a table that was read without one that there is a mapping for it. It is not used unasked.
func sayUnusedMapping(a *app.App, opt importOptions, n *logbook.TableNotes) {
	if opt.usedMapping != "" || opt.saveMapping != "" {
		return
	}
	if name := mappingOfHeader(a, n.Header); name != "" {
		a.Say("note: the header is that of a saved mapping, which was not used; --mapping %s uses it", shellWord(name))
	}
}

func removeMapping(a *app.App, name string) error {
	saved, err := mappings(a)
	if err != nil {
		return err
	}
	if _, ok := saved[name]; !ok {
		return usage.WithHint(fmt.Errorf("there is no mapping %q", name), "leadline mapping list shows them")
	}
	delete(saved, name)
	return writeMappings(a, saved)
}

func listMappings(a *app.App) error {
	saved, err := mappings(a)
	if err != nil {
		return err
	}
	out := []mappingJSON{}
	var c words.Table
	for _, name := range slices.Sorted(maps.Keys(saved)) {
		m := saved[name]
		out = append(out, mappingJSON{Name: name, Flags: m.asFlags(), Header: append([]string{}, m.Header...)})
		c.Add(name, strings.Join(m.asFlags(), " "))
	}
	if len(out) == 0 && !a.JSON {
		a.Say("no mapping is saved; leadline import FILE --map … --save-mapping NAME saves one")
	}
	return a.PrintList(out, c)
}

// asFlags writes a mapping as the flags that it stands for, to be pasted into a shell.
func (m mapping) asFlags() []string {
	flags := []string{}
	m.Header = nil // which is no flag
	for i, flag := range flagsOfMapping() {
		text := ""
		switch v := reflect.ValueOf(m).Field(i).Interface().(type) {
		case map[string]string:
			text = pairsText(v)
		case []string:
			text = strings.Join(v, ",")
		case string:
			text = v
		case int:
			text = strings.TrimPrefix(strconv.Itoa(v), "0")
		case bool:
			if v {
				flags = append(flags, "--"+flag)
			}
		}
		if text != "" {
			flags = append(flags, "--"+flag+" "+shellWord(text))
		}
	}
	return flags
}

// pairsText is a map as a flag has it; a pair with a comma in it stands in quotation marks. Those of a lone pair the
// flag's library does not read as such: it stands there twice.
func pairsText(pairs map[string]string) string {
	var out []string
	for _, k := range slices.Sorted(maps.Keys(pairs)) {
		pair := k + "=" + pairs[k]
		if strings.ContainsAny(pair, ",\"\n") {
			pair = `"` + strings.ReplaceAll(pair, `"`, `""`) + `"`
		}
		out = append(out, pair)
	}
	if len(out) == 1 && strings.Contains(out[0], `"`) {
		out = append(out, out[0])
	}
	return strings.Join(out, ",")
}

// shellWord puts marks around a word that a shell would take apart.
func shellWord(s string) string {
	if regexp.MustCompile(`^[-_.,=/:0-9A-Za-z]+$`).MatchString(s) {
		return s
	}
	return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'"
}

func completeMappings(a *app.App) app.Completer {
	return func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		saved, _ := mappings(a)
		return slices.Sorted(maps.Keys(saved)), cobra.ShellCompDirectiveNoFileComp
	}
}

// mappingJSON is a saved mapping.
type mappingJSON struct {
	Name   string   `json:"name"`
	Flags  []string `json:"flags"`  // those of import that it stands for
	Header []string `json:"header"` // of the table it was saved with
}
