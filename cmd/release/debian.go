package main

import (
	"bytes"
	"cmp"
	"crypto/md5"
	_ "embed"
	"errors"
	"fmt"
	"path"
	"regexp"
	"strings"
	"time"

	"leadline/alerts/words"
)

// maintainer is who a package says keeps it. The address cannot be written to (RFC 2606).
const maintainer = "The keepers of leadline <leadline@project.invalid>"

// debian makes a package (deb(5)): an ar archive of the format's version, what is told of the package, and its files.
func debian(b binary, files []file, history changelog) ([]byte, error) {
	content, err := debianFiles(b, files, history)
	if err != nil {
		return nil, err
	}
	size := 0
	var sums bytes.Buffer
	for _, f := range sorted(content) {
		size += (len(f.data) + 1023) / 1024
		if f.link == "" {
			fmt.Fprintf(&sums, "%x  %s\n", md5.Sum(f.data), f.name)
		}
	}
	control := fmt.Sprintf(`Package: leadline
Version: %s
Architecture: %s
Maintainer: %s
Installed-Size: %d
Section: science
Recommends: bash-completion
Priority: optional
Description: logbook for the water of coral aquariums
 leadline keeps the water tests of coral aquariums and says, early and with its
 uncertainty, how far nitrate and phosphate are from zero, what the tank
 consumes a day, and what holds it. It has a terminal interface and a command
 line, and writes charts, posts for a forum, and calendars.
 .
 Answers are arithmetic on the numbers typed in. They replace neither a second
 test nor the label of a product.
`, b.debianVersion(), b.target.arch, maintainer, size)
	told, err := tarGz(".", []file{{name: "control", data: []byte(control)}, {name: "md5sums", data: sums.Bytes()}},
		b.time)
	if err != nil {
		return nil, err
	}
	data, err := tarGz(".", content, b.time)
	return arArchive([]file{{name: "debian-binary", data: []byte("2.0\n")}, {name: "control.tar.gz", data: told},
		{name: "data.tar.gz", data: data}}, b.time), err
}

// debianFiles puts the files where a Debian system looks for them.
func debianFiles(b binary, files []file, history changelog) (content []file, err error) {
	const doc = "usr/share/doc/leadline/"
	place := map[string]string{
		"leadline": "usr/bin/leadline", "NOTICES.txt": doc + "NOTICES.txt",
		"cmd/leadline/examples/leadline-alerts.service": "usr/lib/systemd/user/leadline-alerts.service",
		"cmd/leadline/examples/leadline-alerts.timer":   "usr/lib/systemd/user/leadline-alerts.timer",
		"completions/leadline.bash":                     "usr/share/bash-completion/completions/leadline",
		"completions/_leadline":                         "usr/share/zsh/vendor-completions/_leadline",
		"completions/leadline.fish":                     "usr/share/fish/vendor_completions.d/leadline.fish",
	}
	compressed := func(name string, data []byte) error {
		data, err := gzipped(data)
		content = append(content, file{name: name + ".gz", data: data})
		return err
	}
	for _, f := range files {
		switch to, ok := place[f.name]; {
		case ok && f.name == "NOTICES.txt":
			err = compressed(to, f.data)
		case ok:
			f.name = to
			content = append(content, f)
		case f.name == "LICENSE":
			content = append(content, file{name: doc + "copyright", data: copyright(f.data)},
				file{name: doc + f.name, link: "copyright"}) // to which the README leads
		case strings.HasPrefix(f.name, "man/"):
			err = compressed("usr/share/man/man"+path.Ext(f.name)[1:]+"/"+path.Base(f.name), f.data)
		case f.name != "CHANGELOG.md" && !strings.HasPrefix(f.name, "completions/"): // the papers
			f.name = doc + f.name
			content = append(content, f)
		}
		if err != nil {
			return nil, err
		}
	}
	if err := compressed(doc+"changelog.Debian", history.debian(b.debianVersion(), maintainer)); err != nil {
		return nil, err
	}
	// One file without a dynamic linker, which lintian otherwise takes for a slip.
	overrides := "leadline: statically-linked-binary [usr/bin/leadline]\n"
	return append(content, file{name: "usr/share/lintian/overrides/leadline", data: []byte(overrides)}), nil
}

// copyright is the licence in Debian's form (copyright-format 1.0), and where those of the other parts are.
func copyright(licence []byte) []byte {
	text := strings.TrimSpace(string(licence))
	var holders string
	for _, m := range regexp.MustCompile(`(?m)^Copyright +(.*?)\s*$`).FindAllStringSubmatch(text, -1) {
		holders += "Copyright: " + m[1] + "\n"
	}
	lines := words.Of(strings.Split(text, "\n"), func(line string) string { return cmp.Or(strings.TrimSpace(line), ".") })
	return fmt.Appendf(nil, `Format: https://www.debian.org/doc/packaging-manuals/copyright-format/1.0/
Upstream-Name: leadline
Comment:
 The licences of the modules and fonts inside the program are in
 /usr/share/doc/leadline/NOTICES.txt.gz.

Files: *
%sLicense: Expat
 %s
`, holders, strings.Join(lines, "\n "))
}

// arArchive is the common form of ar(5): for every member a head of sixty bytes, then its data, filled up to an even
// number.
func arArchive(members []file, when time.Time) []byte {
	var b bytes.Buffer
	b.WriteString("!<arch>\n")
	for _, m := range members {
		fmt.Fprintf(&b, "%-16s%-12d%-6d%-6d%-8s%-10d`\n", m.name, when.Unix(), 0, 0, "100644", len(m.data))
		b.Write(m.data)
		if len(m.data)%2 == 1 {
			b.WriteByte('\n')
		}
	}
	return b.Bytes()
}

//go:embed CHANGELOG.md
var changelogText string

// changelog is the history of the versions, the newest first.
type changelog []versionEntry

type versionEntry struct {
	version string
	date    time.Time
	changes []string
}

// versionPart is what is told of a version: its number, its day, and its changes.
var versionPart = regexp.MustCompile(
	`^(\d+\.\d+\.\d+) — (\d{4}-\d{2}-\d{2}|not released)\n\n((?:- .+\n(?:  .+\n)*)+)\n*$`)

// parseChangelog reads CHANGELOG.md: a head for every version with its day, and below it one line or paragraph for
// every change, behind a dash. What is not released yet is of today, which is the day of the commit.
func parseChangelog(text string, today time.Time) (history changelog, err error) {
	for _, part := range strings.Split("\n"+text, "\n## ")[1:] {
		m := versionPart.FindStringSubmatch(part)
		if m == nil {
			return nil, fmt.Errorf("CHANGELOG.md: what begins with %.40q is not a version, its day or \"not released\", and "+
				"its changes", part)
		}
		v := versionEntry{version: m[1], date: today}
		if m[2] != "not released" {
			if v.date, err = time.Parse(time.DateOnly, m[2]); err != nil {
				return nil, fmt.Errorf("CHANGELOG.md: %s: %w", m[1], err)
			}
		}
		for _, change := range strings.Split("\n"+m[3], "\n- ")[1:] {
			v.changes = append(v.changes, plainText(strings.Join(strings.Fields(change), " ")))
		}
		history = append(history, v)
	}
	if len(history) == 0 {
		err = errors.New("CHANGELOG.md tells of no version")
	}
	return history, err
}

func plainText(markdown string) string {
	return strings.NewReplacer("`", "", "**", "").Replace(markdown)
}

// debian is the history in Debian's form (deb-changelog(5)). The newest entry carries the version of the package.
func (h changelog) debian(version, maintainer string) []byte {
	var b strings.Builder
	for i, v := range h {
		if i > 0 {
			version = v.version + "-1"
		}
		fmt.Fprintf(&b, "leadline (%s) stable; urgency=medium\n\n", version)
		for _, c := range v.changes {
			b.WriteString(strings.Join(words.Hang("  * ", "    ", c, 78, 0), "\n") + "\n")
		}
		fmt.Fprintf(&b, "\n -- %s  %s\n", maintainer, v.date.UTC().Format("Mon, 02 Jan 2006 15:04:05 -0700"))
		if i < len(h)-1 {
			b.WriteString("\n")
		}
	}
	return []byte(b.String())
}
