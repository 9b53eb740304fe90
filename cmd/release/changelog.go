package main

import (
	_ "embed"
	"fmt"
	"regexp"
	"strings"
	"time"

	"leadline/alerts/words"
)

//go:embed CHANGELOG.md
var changelogText string

// changelog is the history of the versions, the newest first.
type changelog []versionEntry

type versionEntry struct {
	version string
	date    time.Time
	changes []string
}

var versionHead = regexp.MustCompile(`^## (\d+\.\d+\.\d+)(?: — (\d{4}-\d{2}-\d{2}|not released))?$`)

// parseChangelog reads CHANGELOG.md: a head for every version with its day, and below it one line or paragraph for
// every change, behind a dash. What is not released yet is of today, which is the day of the commit.
func parseChangelog(text string, today time.Time) (changelog, error) {
	var history changelog
	n := 0
	for line := range strings.Lines(text) {
		n++
		line = strings.TrimRight(line, "\n ")
		if strings.HasPrefix(line, "## ") {
			m := versionHead.FindStringSubmatch(line)
			if m == nil {
				return nil, fmt.Errorf("CHANGELOG.md:%d: %q is not the head of a version", n, line)
			}
			v := versionEntry{version: m[1], date: today}
			if day, err := time.Parse(time.DateOnly, m[2]); err == nil {
				v.date = day
			} else if m[2] != "not released" {
				return nil, fmt.Errorf("CHANGELOG.md:%d: %s needs its day, or \"not released\"", n, m[1])
			}
			history = append(history, v)
			continue
		}
		if len(history) == 0 || line == "" {
			continue
		}
		last := &history[len(history)-1]
		switch {
		case strings.HasPrefix(line, "- "):
			last.changes = append(last.changes, plainText(line[2:]))
		case strings.HasPrefix(line, "  ") && len(last.changes) > 0:
			last.changes[len(last.changes)-1] += " " + plainText(strings.TrimSpace(line))
		default:
			return nil, fmt.Errorf("CHANGELOG.md:%d: %q is neither a head nor a change", n, line)
		}
	}
	if len(history) == 0 {
		return nil, fmt.Errorf("CHANGELOG.md tells of no version")
	}
	for _, v := range history {
		if len(v.changes) == 0 {
			return nil, fmt.Errorf("CHANGELOG.md: nothing is told of %s", v.version)
		}
	}
	return history, nil
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
