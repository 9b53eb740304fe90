package logbook

import (
	"bufio"
	"flag"
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"
	"time"
)

var kills = flag.Int("kills", 12, "how many processes TestKill kills while they write")

// importSize is the number of readings in each import and merge of TestKill.
const importSize = 400

// addForEver adds reading after reading and says so after each; importForEver does the same with whole files.
func addForEver(path, run string) {
	b := newBook(path)
	for i := 0; ; i++ {
		_, err := b.Append(killReading("add", run, i, 0))
		fmt.Println(i, err)
	}
}

func importForEver(path, run string) {
	b := newBook(path)
	for i := 0; ; i++ {
		var recs []Record
		for j := range importSize {
			recs = append(recs, killReading("import", run, i, j))
		}
		_, err := b.Import(recs)
		fmt.Println(i, err)
	}
}

// mergeForEver merges one new book after another.
func mergeForEver(path, run string) {
	b := newBook(path)
	for i := 0; ; i++ {
		other, err := Create(fmt.Sprintf("%s-%s-%d", path, run, i))
		if err != nil {
			panic(err)
		}
		recs := []Record{Tank{Name: "lagoon"}}
		for j := range importSize {
			recs = append(recs, killReading("merge", run, i, j))
		}
		if _, err := other.Import(recs); err != nil {
			panic(err)
		}
		_, err = b.Merge(other.Path())
		fmt.Println(i, err)
	}
}

// renameForEver gives the tank one name after another.
func renameForEver(path, run string) {
	b := newBook(path)
	for i := 0; ; i++ {
		_, err := b.RenameTank("lagoon", "lagoon "+run+" "+strconv.Itoa(i), testTime(0, i))
		fmt.Println(i, err)
	}
}

func killReading(task, run string, i, j int) Reading {
	r := testReading("lagoon", task, testTime(0, 0).Add(time.Duration(i*importSize+j)*time.Minute), "4", 4)
	r.Note = run + " " + strconv.Itoa(i)
	return r
}

// Processes that add, import, merge and rename are killed at random moments. What they had said was done is there
// afterwards, and an import or a merge is there whole or not at all.
func TestKill(t *testing.T) {
	b := testBook(t)
	mustAppend(t, b, Tank{Name: "lagoon"})
	random := rand.New(rand.NewPCG(7, uint64(*kills)))
	renamed := false
	acknowledged := map[string]bool{}                     // note and task of what was said to be done
	tasks := []string{"add", "import", "merge", "rename"} // all at once, in each other's way
	for n := 0; n < *kills; n += len(tasks) {
		var lines []chan []string
		for k, task := range tasks {
			cmd := child(t, task, b.Path(), strconv.Itoa(n+k))
			out, err := cmd.StdoutPipe()
			if err != nil {
				t.Fatal(err)
			}
			if err := cmd.Start(); err != nil {
				t.Fatal(err)
			}
			said := make(chan []string)
			lines = append(lines, said)
			after := time.Duration(30+random.IntN(300)) * time.Millisecond
			go func() {
				time.Sleep(after)
				_ = cmd.Process.Kill()
			}()
			go func() {
				var all []string
				for s := bufio.NewScanner(out); s.Scan(); {
					all = append(all, s.Text())
				}
				_ = cmd.Wait()
				said <- all
			}()
		}
		for k, said := range lines {
			for _, line := range <-said {
				i, err, _ := strings.Cut(line, " ")
				if tasks[k] == "rename" {
					renamed = renamed || err == "<nil>"
				} else if err == "<nil>" {
					acknowledged[tasks[k]+" "+strconv.Itoa(n+k)+" "+i] = true
				}
			}
		}
		mustBeSound(t, b.Path())
	}
	mustView(t, b, func(v *View) error {
		tanks, err := v.Tanks()
		if len(tanks) != 1 || renamed && len(tanks[0].Was) == 0 {
			t.Errorf("one tank of many names should be left: %+v", tanks)
		}
		return err
	})
	found := map[string]int{}
	for _, r := range allReadings(t, b) {
		found[r.Parameter+" "+r.Note]++
	}
	for what := range acknowledged {
		if found[what] == 0 {
			t.Errorf("%s was acknowledged and is not there", what)
		}
	}
	for what, n := range found {
		if !strings.HasPrefix(what, "add") && n != importSize || strings.HasPrefix(what, "add") && n != 1 {
			t.Errorf("%d readings of %s", n, what)
		}
	}
	t.Logf("%d processes killed; %d adds, imports and merges acknowledged, %d found", *kills, len(acknowledged),
		len(found))
	if len(acknowledged) == 0 {
		t.Error("nothing was acknowledged before the kill: the test is void")
	}
}
