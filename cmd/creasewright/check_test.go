package main

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/build"
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
	cli("check", "tray.star").wants(t, build.Clean, "", "tray.star: 1 piece, nothing to mend\n")
	cli("check", "warned.star").wants(t, build.Clean, `warned.star:7:9: warning: panel "spare"`, "1 piece, 1 warning\n")
	cli("check", "faulty.star").wants(t, build.Faulty, "faulty.star:7:1: error: the rack takes 50 mm", "1 piece, 1 error\n")
	cli("check", "faulty.star", "--set", "width=40").wants(t, build.Clean, "", "nothing to mend")
	cli("check", "broken.star").wants(t, build.Broken, "", "broken.star:7:6: error: ")
	cli("check", "absent.star").wants(t, build.Broken, "", `there is no file "absent.star"`)
	cli("check", "tray.star/x.star").wants(t, build.Broken, "", "error: ")
}

func TestCheckWritesNothing(t *testing.T) {
	desks(t)
	cli("check", "tray.star", "warned.star", "faulty.star", "broken.star").wants(t, build.Broken, "warning: ")
	if entries, err := os.ReadDir("."); err != nil || len(entries) != 4 {
		t.Errorf("the folder holds %v, %v", entries, err)
	}
}

// In JSON and SARIF a script error is a result like any other, and standard
// output holds nothing else.
func TestCheckAsJSON(t *testing.T) {
	desks(t)
	got := cli("check", "--format", "json", "warned.star", "faulty.star", "broken.star")
	got.wants(t, build.Broken, "[")
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
	cli("check", "--format", "json", "tray.star").wants(t, build.Clean, "[\n]\n")
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
	if got.code != build.Broken {
		t.Errorf("exit %d", got.code)
	}
}
