package main

import (
	"archive/zip"
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

// TestSpreadsheetProgramOpensExports lets LibreOffice, where it is installed, open the tables of an export, with its
// evaluation of formulas turned on, and compares what it saves of them: no cell became a formula, every number and
// every text is the same, and what is saved is read back as the readings that were written.
func TestSpreadsheetProgramOpensExports(t *testing.T) {
	if testing.Short() {
		t.Skip("LibreOffice takes some seconds")
	}
	t.Parallel()
	office, err := exec.LookPath("soffice")
	if err != nil {
		t.Skip("LibreOffice (soffice) is not installed")
	}
	folder := t.TempDir()
	leadline := func(book string, line ...string) string {
		t.Helper()
		var out, errOut bytes.Buffer
		env := func(name string) string { return map[string]string{"LEADLINE_BOOK": filepath.Join(folder, book)}[name] }
		now := func() time.Time { return time.Date(2026, 4, 1, 0, 0, 0, 0, time.UTC) }
		if code := run(context.Background(), line, strings.NewReader(""), &out, &errOut, env, now); code != 0 {
			t.Fatalf("%v: exit code %d: %s", line, code, errOut.String())
		}
		return out.String()
	}
	var log strings.Builder
	log.WriteString("time,tank,parameter,value,unit,method,note\n")
	for i, note := range []string{"=1+2", "+1+2", "-1+2", "@SUM(1;2)", "\"\t=1+2\"", "'=1+2", "plain", "0012", "1/2",
		"3-4", "\"a;b,\"\"c\"\"\"", "\"two\nlines\"", "µ °C ü 水"} {
		fmt.Fprintf(&log, "2026-03-%02dT09:10:00+13:00,lagoon,nitrate,%d.25,mg/L,=kit,%s\n", i+1, i, note)
		fmt.Fprintf(&log, "2026-03-%02dT09:10:00+13:00,lagoon,phosphate,<0.0%d,mg/L,,\n", i+1, i+1)
	}
	file := filepath.Join(folder, "log.csv")
	if err := os.WriteFile(file, []byte(log.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	leadline("a.book", "tank", "add", "lagoon", "--timezone", "Pacific/Auckland")
	leadline("a.book", "import", file)
	exact := leadline("a.book", "export", "csv")

	// text mark, UTF-8, language, quoted text as text, …, formulas evaluated
	const evaluate = "34,76,1,,%d,%s,true,false,false,false,-1,true"
	for _, c := range []struct {
		name, filter string
		flags        []string
		back         []string // how it is read back
		exact        bool
	}{
		{"long", "CSV:44," + fmt.Sprintf(evaluate, 2057, "false"), []string{"--spreadsheet"}, nil, true},
		{"unguarded", "CSV:44," + fmt.Sprintf(evaluate, 2057, "false"), nil, nil, false},
		{"wide", "CSV:59," + fmt.Sprintf(evaluate, 1031, "false"),
			[]string{"--spreadsheet", "--wide", "--wall-clock", "--decimal-comma", "--columns",
				"time,tank,method,note,nitrate,phosphate"}, nil, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			csv := filepath.Join(folder, c.name+".csv")
			leadline("a.book", append([]string{"export", "csv", "-o", csv}, c.flags...)...)
			cmd := exec.Command(office, "--headless", "-env:UserInstallation=file://"+
				filepath.ToSlash(filepath.Join(folder, "profile")),
				"--convert-to", "ods", "--infilter="+c.filter, "--outdir", folder, csv)
			if said, err := cmd.CombinedOutput(); err != nil {
				t.Fatalf("%v: %s", err, said)
			}
			content := odsContent(t, filepath.Join(folder, c.name+".ods"))
			formulas := strings.Count(content, "table:formula=")
			if !c.exact {
				if formulas == 0 {
					t.Errorf("LibreOffice evaluates nothing even without the guard: this test shows nothing")
				}
				return
			}
			if formulas > 0 {
				t.Errorf("%d cells became formulas", formulas)
			}
			// Numbers that were written are numbers in the sheet, and the same.
			if numbers := len(regexp.MustCompile(`office:value="\d+\.25"`).FindAllString(content, -1)); numbers != 13 {
				t.Errorf("%d of 13 values are numbers", numbers)
			}
			book := c.name + ".book"
			leadline(book, "tank", "add", "lagoon", "--timezone", "Pacific/Auckland")
			leadline(book, append([]string{"import", filepath.Join(folder, c.name+".ods")}, c.back...)...)
			if got := leadline(book, "export", "csv"); got != exact {
				t.Errorf("read back from LibreOffice:\n%s\nwant\n%s", got, exact)
			}
		})
	}
}

func odsContent(t *testing.T, path string) string {
	t.Helper()
	z, err := zip.OpenReader(path)
	if err != nil {
		t.Fatal(err)
	}
	defer z.Close()
	f, err := z.Open("content.xml")
	if err != nil {
		t.Fatal(err)
	}
	b, err := io.ReadAll(f)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}
