package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag/diagtest"
	"github.com/creasewright/creasewright/runtime/engine"
)

// desks is a folder with one script of each ending.
func desks(t *testing.T) {
	t.Helper()
	desk(t, tray)
	put(t, "warned.star", warned)
	put(t, "faulty.star", faulty)
	put(t, "broken.star", broken)
}

func TestCheckTellsWhereThingsGo(t *testing.T) {
	desks(t)
	cli("check", "tray.star").wants(t, engine.Clean, "", "tray.star: 1 piece, nothing to mend\n")
	cli("check", "warned.star").wants(t, engine.Clean, `warned.star:7:9: warning: panel "spare"`, "1 piece, 1 warning\n")
	cli("check", "faulty.star").wants(t, engine.Faulty, "faulty.star:7:1: error: the rack takes 50 mm", "1 piece, 1 error\n")
	cli("check", "faulty.star", "--set", "width=40").wants(t, engine.Clean, "", "nothing to mend")
	cli("check", "broken.star").wants(t, engine.Broken, "", "broken.star:7:6: error: ")
	cli("check", "absent.star").wants(t, engine.Broken, "", `there is no file "absent.star"`)
	cli("check", "tray.star/x.star").wants(t, engine.Broken, "", "error: ")
}

func TestCheckWritesNothing(t *testing.T) {
	desks(t)
	cli("check", "tray.star", "warned.star", "faulty.star", "broken.star").wants(t, engine.Broken, "warning: ")
	if entries, err := os.ReadDir("."); err != nil || len(entries) != 4 {
		t.Errorf("the folder holds %v, %v", entries, err)
	}
}

// In JSON and SARIF a script error is a result like any other, and standard
// output holds nothing else.
func TestCheckAsJSON(t *testing.T) {
	desks(t)
	got := cli("check", "--format", "json", "warned.star", "faulty.star", "broken.star")
	got.wants(t, engine.Broken, "[")
	var found []struct {
		Rule, Severity, File string
		Line                 int
	}
	if err := json.Unmarshal([]byte(got.out), &found); err != nil {
		t.Fatal(err)
	}
	var told []string
	for _, f := range found {
		told = append(told, f.File+" "+f.Severity+" "+f.Rule)
	}
	if s := strings.Join(told, ", "); s != "warned.star warning panel-unclaimed, faulty.star error require, broken.star error script" {
		t.Errorf("got %s", s)
	}
	cli("check", "--format", "json", "tray.star").wants(t, engine.Clean, "[\n]\n")
}

func TestCheckAsSARIF(t *testing.T) {
	desks(t)
	got := cli("check", "--format=sarif", "faulty.star", "broken.star")
	var log struct {
		Version string
		Runs    []struct {
			Results []struct{ RuleID, Level string }
		}
	}
	if err := json.Unmarshal([]byte(got.out), &log); err != nil {
		t.Fatal(err)
	}
	if log.Version != "2.1.0" || len(log.Runs) != 1 || len(log.Runs[0].Results) != 2 {
		t.Fatalf("got %+v", log)
	}
	if r := log.Runs[0].Results; r[0].RuleID != "require" || r[1].RuleID != "script" || r[1].Level != "error" {
		t.Errorf("results %+v", r)
	}
	if got.code != engine.Broken {
		t.Errorf("exit %d", got.code)
	}
}

// A folder stands for the scripts in it and below that make pieces; modules are
// named and not counted, hidden folders and other files are passed over, and
// nothing comes twice.
func TestCheckOfFolders(t *testing.T) {
	desks(t)
	for _, dir := range []string{"sub/deep", "sub/.hidden", "empty"} {
		if err := os.MkdirAll(dir, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	put(t, "sub/deep/clean.star", tray)
	put(t, "sub/faulty.star", faulty)
	put(t, "sub/module.star", "def half(x):\n    return x / 2\n")
	put(t, "sub/.hidden/broken.star", broken)
	put(t, "sub/notes.txt", "no script")

	got := cli("check", "sub", "tray.star", "sub/faulty.star")
	got.wants(t, engine.Faulty, "faulty.star:7:1: error: the rack takes 50 mm",
		"sub/deep/clean.star: 1 piece, nothing to mend\n", "tray.star: 1 piece, nothing to mend\n",
		filepath.Join("sub", "module.star")+": makes no piece, so there is nothing to check\n",
		"checked 3 scripts, 1 error, nothing to mend in 2\n")
	if strings.Contains(got.err, "hidden") {
		t.Errorf("looked into a hidden folder:\n%s", got.err)
	}
	cli("check", "sub/deep").wants(t, engine.Clean, "", "clean.star: 1 piece, nothing to mend\n")
	cli("check", ".").wants(t, engine.Broken, "warning: ", "checked 6 scripts, 3 errors, 1 warning, nothing to mend in 2\n")
	cli("check", "empty").wants(t, engine.Broken, "", `there is no script in folder "empty"`)
	// Asked for by name, a module is a script that makes nothing.
	cli("check", "sub/module.star").wants(t, engine.Broken, "", "the script makes no piece")
}

// Two scripts of one name are told apart, in text by paths that can be opened from
// where the command was given, and in JSON by such a path beside the label. Modules
// beside a script and on a shelf that was named have paths too; the standard library
// has none.
func TestPathsOfFindings(t *testing.T) {
	t.Chdir(t.TempDir())
	for _, dir := range []string{"a", "b", "mine"} {
		if err := os.Mkdir(dir, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	put(t, "mine/size.star", "def size(x):\n    fail(\"no size\")\n")
	put(t, "a/part.star", "def half(x):\n    fail(\"no half\")\n")
	put(t, "a/x.star", "load(\"part.star\", \"half\")\nhalf(3)\n")
	put(t, "b/x.star", "load(\"@shelf//size.star\", \"size\")\nsize(3)\n")
	put(t, "b/y.star", "load(\"//closures.star\", \"tuck_end\")\ntuck_end(3)\n")
	join := filepath.Join
	cli("check", "a/x.star", "b", "--shelf", "mine").wants(t, engine.Broken, "",
		join("a", "x.star")+":2:1: error: ", join("a", "part.star")+":2:5: inside this library call",
		join("b", "x.star")+":2:1: error: ", join("mine", "size.star")+":2:5: inside this library call",
		join("b", "y.star")+":2:1: error: ")
	cli("make", "a/x.star").wants(t, engine.Broken, "", join("a", "x.star")+":2:1: error: ")

	got := cli("check", "a/x.star", "b", "--shelf", "mine", "--format", "json")
	var found []struct {
		File, Path string
		Related    []struct{ File, Path string }
	}
	if err := json.Unmarshal([]byte(got.out), &found); err != nil || len(found) != 3 {
		t.Fatalf("%d findings, %v\n%s", len(found), err, got.out)
	}
	var told []string
	for _, f := range found {
		told = append(told, f.File+"="+f.Path)
		for _, r := range f.Related {
			told = append(told, r.File+"="+r.Path)
		}
	}
	const want = "x.star=a/x.star part.star=a/part.star x.star=b/x.star @shelf//size.star=mine/size.star y.star=b/y.star"
	if s := strings.Join(told, " "); !strings.HasPrefix(s, want) {
		t.Errorf("got  %s\nwant %s", s, want)
	}
}

// A SARIF log gives scripts by where they lie below the current folder, so that
// the reader finds them, and says what each rule is about.
func TestSARIFOfFolders(t *testing.T) {
	desks(t)
	if err := os.MkdirAll("sub/deep down", 0o755); err != nil {
		t.Fatal(err)
	}
	put(t, "sub/deep down/faulty.star", faulty)
	got := cli("check", "--format=sarif", "sub", "warned.star")
	var log struct {
		Runs []struct {
			Tool struct {
				Driver struct {
					Rules []struct {
						ID               string
						ShortDescription struct{ Text string }
						Help             struct{ Text, Markdown string }
					}
				}
			}
			Results []struct {
				Locations []struct {
					PhysicalLocation struct{ ArtifactLocation struct{ URI string } }
				}
			}
		}
	}
	if err := json.Unmarshal([]byte(got.out), &log); err != nil {
		t.Fatal(err)
	}
	run := log.Runs[0]
	for i, want := range []string{"sub/deep%20down/faulty.star", "warned.star"} {
		if uri := run.Results[i].Locations[0].PhysicalLocation.ArtifactLocation.URI; uri != want {
			t.Errorf("result %d lies in %q, want %q", i, uri, want)
		}
	}
	for _, r := range run.Tool.Driver.Rules {
		if r.ShortDescription.Text == "" || r.Help.Text == "" || !strings.HasPrefix(r.Help.Markdown, "# "+r.ID+"\n") {
			t.Errorf("rule %+v is not explained", r)
		}
	}
}

// Logs of whole scripts, with faults and without, are valid SARIF.
func TestSARIFOfScriptsIsValid(t *testing.T) {
	designs := filepath.Join("..", "..", "scripts")
	clean := cli("check", "--format=sarif", designs)
	desks(t)
	faulty := cli("check", "--format=sarif", ".")
	diagtest.ValidSARIF(t, []byte(clean.out), []byte(faulty.out))
}
