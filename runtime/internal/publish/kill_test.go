package publish

import (
	"bufio"
	"fmt"
	"math/rand"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/creasewright/creasewright/runtime/engine"
)

// busyArgument has the test's own program publish until it is killed.
const busyArgument = "(publish for ever)"

func TestMain(m *testing.M) {
	if len(os.Args) == 3 && os.Args[1] == busyArgument {
		publishForEver(os.Args[2])
	}
	os.Exit(m.Run())
}

// edition is six files of some 20 KB that all say which edition they are of.
// Every third edition has another piece.
func edition(n int) []engine.File {
	name := "tea"
	if n%3 == 0 {
		name = "mug"
	}
	text := strings.Repeat(fmt.Sprintf("edition %6d\n", n), 1500)
	return []engine.File{
		file(name+".cut.svg", text), file(name+".cut.dxf", text),
		file("lid.cut.svg", text), file("lid.cut.dxf", text),
		file("preview.svg", text), file("report.json", text),
	}
}

func publishForEver(dir string) {
	fmt.Println("begun")
	for n := 1; ; n++ {
		if _, err := Files(Folder{Path: dir}, edition(n), true); err != nil {
			fmt.Println(err)
			os.Exit(1)
		}
	}
}

// Law: a process that is killed at any instant leaves each file either old or
// new and none torn, and the next run puts everything in order.
func TestKilledAtAnyInstant(t *testing.T) {
	kills := 60
	if os.Getenv("CREASEWRIGHT_READERS") == "1" {
		kills = 500
	}
	dir := t.TempDir()
	r := rand.New(rand.NewSource(41))
	parts := 0
	for range kills {
		kill(t, dir, time.Duration(r.Intn(4000))*time.Microsecond)
		parts += checkEditions(t, dir)
	}
	t.Logf("%d kills, %d of them with files half written beside their places", kills, parts)
	publishAll(t, dir, edition(4)...)
	want := map[string]string{}
	for _, f := range edition(4) {
		want[f.Name] = string(f.Bytes)
	}
	for name, text := range stands(t, dir) {
		if want[name] != text {
			t.Errorf("%s is left, %.14q", name, text)
		}
	}
}

// kill starts a process that publishes and kills it after a while.
func kill(t *testing.T, dir string, after time.Duration) {
	t.Helper()
	cmd := exec.Command(os.Args[0], busyArgument, dir)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	lines := bufio.NewScanner(out)
	lines.Scan()
	time.Sleep(after)
	_ = cmd.Process.Kill()
	if lines.Scan() {
		t.Errorf("it could not publish: %s", lines.Text())
	}
	_ = cmd.Wait() // killed
}

// checkEditions checks that every file is whole, and gives 1 when there are
// parts of others, which it removes.
func checkEditions(t *testing.T, dir string) (parts int) {
	t.Helper()
	for name, text := range stands(t, dir) {
		if isPart(name) {
			parts = 1
			if err := os.Remove(filepath.Join(dir, name)); err != nil {
				t.Error(err)
			}
			continue
		}
		var n int
		if _, err := fmt.Sscanf(text, "edition %d\n", &n); err != nil || text != string(edition(n)[0].Bytes) {
			t.Errorf("%s is torn: %d bytes, %.20q", name, len(text), text)
		}
	}
	return parts
}

// Parts of a process that was killed long ago are swept; what only looks like
// them is not, and neither is the part of a process at work.
func TestSweeping(t *testing.T) {
	dir := t.TempDir()
	old := time.Now().Add(-2 * partAge)
	for name, at := range map[string]time.Time{
		".creasewright-12-0.part": old, ".creasewright-13-1.part": time.Now(),
		".creasewright-x-0.part": old, "creasewright-12-0.part": old,
	} {
		put(t, "x", dir, name)
		if err := os.Chtimes(filepath.Join(dir, name), at, at); err != nil {
			t.Fatal(err)
		}
	}
	publish(t, dir, file("a.svg", "a"))
	got := stands(t, dir)
	if _, there := got[".creasewright-12-0.part"]; there || len(got) != 4 {
		t.Errorf("left: %v", got)
	}
}
