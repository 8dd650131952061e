//go:build unix

package main

import (
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/creasewright/creasewright/runtime/page/browsertest"
)

// watchInBrowser starts a watch as a process and opens its page.
func watchInBrowser(t *testing.T, args ...string) (*tail, *browsertest.Tab) {
	t.Helper()
	cmd, _, _ := program(t, append([]string{"watch"}, args...)...)
	talk := startWatch(t, cmd)
	talk.waitFor(t, "the page is ", "\n")
	_, rest, _ := strings.Cut(talk.String(), "the page is ")
	return talk, browsertest.OpenLive(t, strings.Fields(rest)[0])
}

// The whole way: a script is saved, broken, mended and saved wider on disk, and an open page
// shows the last design each time, with the words of the terminal while there is none.
func TestSavesOnDiskReachThePage(t *testing.T) {
	browsertest.Need(t)
	programPath(t)
	desk(t, tray)
	talk, b := watchInBrowser(t, "tray.star")
	first := b.Digest()

	begun := time.Now()
	put(t, "tray.star", strings.Replace(tray, "60,", "75,", 1))
	second := b.WaitDigest(first)
	t.Logf("a save was drawn in the browser after %d ms", time.Since(begun).Milliseconds())
	if bounds := browsertest.Eval[[]float64](b, browsertest.State+".model.pieces[0].bounds"); math.Abs(bounds[2]-bounds[0]-75) > 1e-6 {
		t.Errorf("the blank lies in %v", bounds)
	}

	put(t, "tray.star", broken)
	b.Wait(`!document.getElementById("fault").hidden`)
	talk.waitFor(t, `panel "base" has no edge "lid"`)
	said := browsertest.Eval[string](b, `document.getElementById("fault").textContent`)
	for _, want := range []string{`tray.star:7:6: error: panel "base" has no edge "lid"`, `7 | base.lid.cut(circle(1))`} {
		if !strings.Contains(said, want) || !strings.Contains(talk.String(), want) {
			t.Errorf("page and terminal do not both say %q:\n%s\n%s", want, said, talk)
		}
	}
	if b.Digest() != second {
		t.Error("the last good model is gone")
	}
	b.Slide(10) // it still folds

	put(t, "tray.star", tray)
	if third := b.WaitDigest(second); third != first {
		t.Error("the same script has another digest")
	}
	b.Wait(`document.getElementById("fault").hidden`)
}

// Trials leave script and files alone; the copied command makes what they show.
func TestTrialsAndTheCopiedCommand(t *testing.T) {
	browsertest.Need(t)
	path := programPath(t)
	desk(t, tray)
	_, b := watchInBrowser(t, "tray.star")
	before := folder(t, "tray")
	digest := b.Digest()
	b.Set(`#sizes [data-param="width"]`, "123")
	b.WaitDigest(digest)
	area := browsertest.Eval[float64](b, browsertest.State+".model.pieces[0].panels[0].area")
	if text, err := os.ReadFile("tray.star"); err != nil || string(text) != tray {
		t.Errorf("the script has changed: %v", err)
	}
	if after := folder(t, "tray"); len(after) != len(before) || after["report.json"] != before["report.json"] {
		t.Error("files have changed")
	}
	command := browsertest.Eval[string](b, `document.getElementById("command").textContent`)
	run := exec.Command("sh", "-c", strings.Replace(command, "creasewright", `"$0"`, 1)+" -o made", path)
	if out, err := run.CombinedOutput(); err != nil {
		t.Fatalf("%s: %v\n%s", command, err, out)
	}
	var report struct {
		Pieces []struct{ Panels []struct{ Area float64 } }
	}
	readJSON(t, filepath.Join("made", "report.json"), &report)
	if got := report.Pieces[0].Panels[0].Area; math.Abs(got-area) > 1e-3 {
		t.Errorf("%s makes a base of %v mm², the page shows %v", command, got, area)
	}
}

func readJSON(t *testing.T, path string, into any) {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(text, into); err != nil {
		t.Fatal(err)
	}
}

// The project's carton, watched together with another script: in its poses the panels stand where
// the report on disk says, what is downloaded is what lies in the folder, and the
// other script can be shown too.
func TestThePageAgreesWithTheFolder(t *testing.T) {
	browsertest.Need(t)
	programPath(t)
	carton, err := os.ReadFile(filepath.Join("..", "..", "scripts", "tea-carton.star"))
	if err != nil {
		t.Fatal(err)
	}
	desk(t, tray)
	put(t, "carton.star", string(carton))
	_, b := watchInBrowser(t, "carton.star", "tray.star")
	b.Wait(browsertest.State + `.model.script === "carton.star" && ` + browsertest.Drawn)
	var report struct {
		Pieces []struct {
			Panels []struct {
				Name  string
				Poses map[string][]float64
			}
		}
	}
	readJSON(t, filepath.Join("carton", "report.json"), &report)
	for _, pose := range []string{"closed", "shipped"} {
		b.Pose(pose)
		shown := browsertest.Eval[[][]float64](b, browsertest.State+".state.panels.map(m => m && [...m])")
		for i, panel := range report.Pieces[0].Panels {
			for k, want := range panel.Poses[pose] {
				if math.Abs(shown[i][k]-want) > 1e-6 {
					t.Errorf("%s, %s: element %d is %v, want %v", pose, panel.Name, k, shown[i][k], want)
				}
			}
		}
	}
	files := folder(t, "carton")
	delete(files, ".creasewright")
	got := browsertest.Eval[map[string]string](b, `Promise.all([...document.querySelectorAll("#files a[data-name]")].map(async a =>
		[a.dataset.name, await (await fetch(a.href)).text()])).then(Object.fromEntries)`)
	for name, text := range got {
		if text != files[name] {
			t.Errorf("%s is not as it lies in the folder", name)
		}
	}
	if len(got) < 4 {
		t.Errorf("only %d files", len(got))
	}
	digest := b.Digest()
	b.Click(`#scripts [data-script="1"]`)
	b.WaitDigest(digest)
	if script := browsertest.Eval[string](b, browsertest.State+".model.script"); script != "tray.star" {
		t.Errorf("%s is shown", script)
	}
}

// A click has the user's editor open the script at the line.
func TestThePageOpensTheEditor(t *testing.T) {
	browsertest.Need(t)
	programPath(t)
	desk(t, tray)
	put(t, "editor.sh", `printf '%s\n' "$@" > opened.part; mv opened.part opened`)
	_, b := watchInBrowser(t, "tray.star", "--editor", "sh editor.sh {file}:{line}")
	b.ClickAt(b.Inside(`#flat path[data-panel="1"]`))
	b.Wait(`document.querySelector("#source .here")?.dataset.line === "5"`)
	b.Click("#trail .edit")
	for deadline := time.Now().Add(hangGuard); ; time.Sleep(5 * time.Millisecond) {
		opened, err := os.ReadFile("opened")
		if err == nil {
			if !strings.HasSuffix(strings.TrimSpace(string(opened)), "tray.star:5") {
				t.Errorf("the editor was given %q", opened)
			}
			return
		}
		if time.Now().After(deadline) {
			t.Fatal("no editor was opened")
		}
	}
}

// programPath gives the program's path. It is built before the folder changes.
func programPath(t *testing.T) string {
	t.Helper()
	path, err := binary()
	if err != nil {
		t.Fatal(err)
	}
	return path
}
