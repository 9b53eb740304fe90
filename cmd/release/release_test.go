package main

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"context"
	"flag"
	"io"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// clone makes a copy of the repository at its last commit; without git, or outside a clone, there is nothing to
// release.
func clone(t *testing.T) string {
	t.Helper()
	folder := filepath.Join(t.TempDir(), "a folder")
	if out, err := exec.Command("git", "clone", "-q", "--no-hardlinks", "../..", folder).CombinedOutput(); err != nil {
		t.Skipf("needs a clone with git: %s", out)
	}
	return folder
}

var twice = flag.Bool("twice", false, "make the release of one target from two clones, and compare")

// TestSameBytesTwice makes the release of one target from two clones in two folders.
func TestSameBytesTwice(t *testing.T) {
	if !*twice {
		t.Skip("builds the program twice; pass -twice")
	}
	var sums [2]string
	for i := range sums {
		out := filepath.Join(t.TempDir(), "out")
		names, err := release(context.Background(),
			options{source: clone(t), out: out, targets: []target{{"linux", "amd64"}}})
		if err != nil {
			t.Fatal(err)
		}
		text, err := os.ReadFile(filepath.Join(out, "SHA256SUMS"))
		if err != nil {
			t.Fatal(err)
		}
		sums[i] = string(text)
		if i == 1 {
			continue
		}
		if lines := strings.Count(sums[0], "\n"); lines != len(names)-1 || lines != 3 {
			t.Errorf("%d sums of %v", lines, names)
		}
		for _, name := range names {
			data, err := os.ReadFile(filepath.Join(out, name))
			if err != nil {
				t.Fatal(err)
			}
			switch filepath.Ext(name) {
			case ".gz":
				checkArchive(t, data)
			case ".json":
				checkMaterials(t, data)
			case ".deb":
				checkDebian(t, filepath.Join(out, name))
			}
		}
	}
	if sums[0] != sums[1] {
		t.Errorf("two runs differ:\n%s%s", sums[0], sums[1])
	}
}

// checkArchive looks into the archive of a real program.
func checkArchive(t *testing.T, packed []byte) {
	t.Helper()
	files := untar(t, packed)
	for _, want := range []string{"leadline", "LICENSE", "NOTICES.txt", "README.md", "CHANGELOG.md", "man/leadline.1",
		"man/leadline-add.1", "man/leadline-guide.7", "man/leadline-sharing.7", "man/leadline-tutorial.7",
		"completions/leadline.bash", "completions/_leadline"} {
		if len(files[want]) == 0 {
			t.Errorf("the archive has no %s", want)
		}
	}
	leads := 0
	for name, data := range files {
		for _, m := range links.FindAllSubmatch(data, -1) {
			if path.Ext(name) == ".md" {
				leads++
				if to := path.Join(path.Dir(name), string(m[1])+string(m[2])); len(files[to]) == 0 {
					t.Errorf("%s: the link to %s leads nowhere", name, to)
				}
			}
		}
	}
	if leads < 10 {
		t.Errorf("only %d links in the archive", leads)
	}
	notices := string(files["NOTICES.txt"])
	for _, want := range []string{"github.com/charmbracelet/bubbletea ", "SIL OPEN FONT LICENSE", "Liberation",
		"The Go Authors", "the leadline authors"} {
		if !strings.Contains(notices, want) {
			t.Errorf("the notices do not tell of %q", want)
		}
	}
}

func untar(t *testing.T, packed []byte) map[string][]byte {
	t.Helper()
	r, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		t.Fatal(err)
	}
	files := map[string][]byte{}
	for tr := tar.NewReader(r); ; {
		h, err := tr.Next()
		if err == io.EOF {
			return files
		}
		if err != nil {
			t.Fatal(err)
		}
		if h.Uname != "root" || h.Uid != 0 || h.Gid != 0 {
			t.Errorf("%s belongs to %s", h.Name, h.Uname)
		}
		data, err := io.ReadAll(tr)
		if err != nil {
			t.Fatal(err)
		}
		_, name, _ := strings.Cut(h.Name, "/")
		files[name] = data
	}
}

// The same files give the same bytes, in whatever order they come, and nothing of the moment gets in.
func TestArchivesAreOfTheirContent(t *testing.T) {
	when := time.Date(2026, 3, 7, 9, 10, 0, 0, time.UTC)
	files := []file{{name: "b/deep/x", data: []byte("x")}, {name: "a", data: []byte("program"), program: true}}
	turned := []file{files[1], files[0]}
	for name, pack := range map[string]func(string, []file, time.Time) ([]byte, error){"tar.gz": tarGz, "zip": zipped} {
		one, err := pack("leadline_1", files, when)
		if err != nil {
			t.Fatal(err)
		}
		two, err := pack("leadline_1", turned, when)
		if err != nil || !bytes.Equal(one, two) {
			t.Errorf("%s: the order of the files changes the bytes (%v)", name, err)
		}
		later, err := pack("leadline_1", files, when.AddDate(0, 0, 1))
		if err != nil || bytes.Equal(one, later) {
			t.Errorf("%s: does not carry the time it is given (%v)", name, err)
		}
	}
	packed, err := tarGz("leadline_1", files, when)
	if err != nil {
		t.Fatal(err)
	}
	if got := untar(t, packed); string(got["a"]) != "program" || string(got["b/deep/x"]) != "x" {
		t.Errorf("unpacked: %v", got)
	}
	packed, err = zipped("leadline_1", files, when)
	if err != nil {
		t.Fatal(err)
	}
	z, err := zip.NewReader(bytes.NewReader(packed), int64(len(packed)))
	if err != nil {
		t.Fatal(err)
	}
	if len(z.File) != 2 || z.File[0].Name != "leadline_1/a" || z.File[0].Mode() != 0o755 ||
		!z.File[0].Modified.Equal(when) {
		t.Errorf("zip: %+v", z.File[0].FileHeader)
	}
}

// Debian's order of versions, as dpkg itself sees it.
func TestDebianVersions(t *testing.T) {
	rising := []string{"v0.0.0-20261125171234-0123456789ab", "v0.1.0-rc.1", "v0.1.0-rc.1.0.20270101000000-0123456789ab",
		"v0.1.0", "v0.1.1-0.20270301000000-0123456789ab", "v0.1.1"}
	var versions []string
	for _, v := range rising {
		versions = append(versions, binary{version: v}.debianVersion())
	}
	if versions[0] != "0.0.0~20261125171234.0123456789ab-1" || versions[3] != "0.1.0-1" {
		t.Errorf("%v", versions)
	}
	if _, err := exec.LookPath("dpkg"); err != nil {
		t.Skip("needs dpkg")
	}
	for i := 1; i < len(versions); i++ {
		if out, err := exec.Command("dpkg", "--compare-versions", versions[i-1], "lt",
			versions[i]).CombinedOutput(); err != nil {
			t.Errorf("%s is not before %s: %v %s", versions[i-1], versions[i], err, out)
		}
	}
}

func TestChangelog(t *testing.T) {
	today := time.Date(2026, 11, 25, 17, 0, 0, 0, time.UTC)
	history, err := parseChangelog(changelogText, today)
	if err != nil {
		t.Fatal(err)
	}
	if history[0].version == "" || len(history[0].changes) == 0 {
		t.Errorf("%+v", history)
	}
	const text = "# What changed\n\n## 0.2.0 — not released\n\n- `one`\n  more of it\n- two\n\n## 0.1.0 — " +
		"2026-03-07\n\n- three\n"
	history, err = parseChangelog(text, today)
	if err != nil {
		t.Fatal(err)
	}
	const want = "leadline (0.2.0-1) stable; urgency=medium\n\n  * one more of it\n  * two\n\n -- K <k@project.invalid> " +
		" Wed, 25 Nov 2026 17:00:00 +0000\n\n" +
		"leadline (0.1.0-1) stable; urgency=medium\n\n  * three\n\n -- K <k@project.invalid>  Sat, 07 Mar 2026 00:00:00 " +
		"+0000\n"
	if got := string(history.debian("0.2.0-1", "K <k@project.invalid>")); got != want {
		t.Errorf("%s\nwant\n%s", got, want)
	}
	for _, bad := range []string{"", "## 0.1\n- x\n", "## 0.1.0 — 2026-13-01\n\n- x\n", "## 0.1.0 — not released\n",
		"## 0.1.0 — not released\n\nprose\n", "## 0.1.0\n\n- x\n"} {
		if _, err := parseChangelog(bad, today); err == nil {
			t.Errorf("%q was read", bad)
		}
	}
}

// TestRefuses: a release is made of a commit and into a folder of its own.
func TestRefuses(t *testing.T) {
	full := t.TempDir()
	if err := os.WriteFile(filepath.Join(full, "x"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := release(context.Background(), options{source: ".", out: full}); err == nil ||
		!strings.Contains(err.Error(), "not empty") {
		t.Errorf("%v", err)
	}
	if err := run(context.Background(), []string{"-only", "plan9/amd64"}, io.Discard); err == nil ||
		!strings.Contains(err.Error(), "plan9") {
		t.Errorf("%v", err)
	}
	module := t.TempDir()
	readme := filepath.Join(module, "README.md")
	for text, fine := range map[string]bool{"# x\n\nNo licence at all.\n": false, "# x\n\n## License\n\nMIT\n": true} {
		if err := os.WriteFile(readme, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := licencesIn(module); (err == nil) != fine {
			t.Errorf("a module that says %q: %v", text, err)
		}
	}
	if _, err := inspect(os.Args[0], hostTarget()); err == nil {
		t.Error("a binary that names no commit passes")
	}
}

// fakeBinary is a binary of which everything is told, for tests that need no real one.
func fakeBinary(arch string) binary {
	return binary{target: target{"linux", arch}, version: "v0.1.0", revision: strings.Repeat("a1", 20), goes: "go1.26.0",
		time: time.Date(2026, 3, 7, 9, 10, 0, 0, time.UTC)}
}

// TestDebianPackage makes a package and has dpkg look into it, unpack it and install it below a folder.
func TestDebianPackage(t *testing.T) {
	history, err := parseChangelog(changelogText, time.Now())
	if err != nil {
		t.Fatal(err)
	}
	files := []file{{name: "leadline", data: []byte("#!/bin/sh\n"), program: true},
		{name: "LICENSE", data: []byte("MIT License\n\nCopyright (c) 2026 x\n\nPermission\n")},
		{name: "NOTICES.txt", data: []byte("n\n")}, {name: "README.md", data: []byte("r\n")},
		{name: "man/leadline.1", data: []byte(".TH X 1\n")}, {name: "man/leadline-guide.7", data: []byte(".TH X 7\n")},
		{name: "cmd/leadline/GUIDE.md", data: []byte("g\n")},
		{name: "cmd/leadline/examples/leadline-alerts.timer", data: []byte("[Timer]\n")},
		{name: "completions/leadline.bash", data: []byte("#\n")}}
	made := time.Date(2026, 3, 7, 9, 10, 0, 0, time.UTC)
	for _, arch := range []string{"amd64", "arm64"} {
		b := fakeBinary(arch)
		b.time = made
		deb, err := debian(b, files, history)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.HasPrefix(deb, []byte("!<arch>\ndebian-binary   ")) {
			t.Errorf("%q", deb[:40])
		}
		path := filepath.Join(t.TempDir(), "x.deb")
		if err := os.WriteFile(path, deb, 0o600); err != nil {
			t.Fatal(err)
		}
		if dpkg := checkDebian(t, path); dpkg != "" && !strings.Contains(dpkg, "Architecture: "+arch) {
			t.Errorf("%s", dpkg)
		}
	}
}

// checkDebian has dpkg read and unpack a package, and install it where it may. It gives what is told of it.
func checkDebian(t *testing.T, path string) string {
	t.Helper()
	if _, err := exec.LookPath("dpkg-deb"); err != nil {
		t.Log("needs dpkg-deb")
		return ""
	}
	run := func(name string, args ...string) string {
		out, err := exec.Command(name, args...).CombinedOutput()
		if err != nil {
			t.Fatalf("%s %v: %v\n%s", name, args, err, out)
		}
		return string(out)
	}
	told := run("dpkg-deb", "-I", path)
	list := run("dpkg-deb", "-c", path)
	for _, want := range []string{"./usr/bin/leadline", "./usr/share/man/man1/leadline.1.gz",
		"./usr/share/doc/leadline/copyright", "./usr/share/doc/leadline/changelog.Debian.gz",
		"./usr/share/doc/leadline/README.md", "./usr/share/doc/leadline/cmd/leadline/GUIDE.md",
		"./usr/lib/systemd/user/leadline-alerts.timer", "./usr/share/man/man7/leadline-guide.7.gz",
		"./usr/share/bash-completion/completions/leadline"} {
		if !strings.Contains(list, " "+want+"\n") {
			t.Errorf("the package has no %s:\n%s", want, list)
		}
	}
	if !strings.Contains(list, "-rwxr-xr-x root/root") || strings.Contains(list, "rw-rw") {
		t.Errorf("owners or modes are wrong:\n%s", list)
	}
	unpacked := t.TempDir()
	run("dpkg-deb", "-x", path, unpacked)
	if info, err := os.Stat(filepath.Join(unpacked, "usr/bin/leadline")); err != nil || info.Mode().Perm() != 0o755 {
		t.Errorf("%v %v", info, err)
	}
	installBelow(t, path, told)
	return told
}

// installBelow installs a package below an empty root, if it is for this machine and we may.
func installBelow(t *testing.T, path, told string) {
	t.Helper()
	arch, err := exec.Command("dpkg", "--print-architecture").Output()
	if err != nil || os.Geteuid() != 0 || !strings.Contains(told, "Architecture: "+strings.TrimSpace(string(arch))) {
		return
	}
	root := t.TempDir()
	for _, folder := range []string{"var/lib/dpkg/info", "var/lib/dpkg/updates", "var/lib/dpkg/triggers"} {
		if err := os.MkdirAll(filepath.Join(root, folder), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	for _, name := range []string{"status", "available"} {
		if err := os.WriteFile(filepath.Join(root, "var/lib/dpkg", name), nil, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if out, err := exec.Command("dpkg", "--root="+root, "--log=/dev/null", "--force-not-root", "-i",
		path).CombinedOutput(); err != nil {
		t.Fatalf("install: %v\n%s", err, out)
	}
	out, err := exec.Command("dpkg", "--root="+root, "--verify", "leadline").CombinedOutput()
	if err != nil || len(bytes.TrimSpace(out)) > 0 {
		t.Errorf("what is installed is not what was packed: %v %s", err, out)
	}
	if _, err := os.Stat(filepath.Join(root, "usr/bin/leadline")); err != nil {
		t.Error(err)
	}
}
