package main

import (
	"os"
	"testing"

	"github.com/creasewright/creasewright/runtime/engine"
)

// A file of tests of which one fails, one that passes, and one that does not run.
const (
	failing = `card = board("card", caliper = 0.4)

def test_lid():
    print("looking at the lid")
    lid = panel("lid", rect(60, 40))
    piece("lid", lid, board = card)
    near(built().blank().width, 61, what = "the width")

def test_nothing():
    pass
`
	passing  = "def test_a():\n    same(1, 1)\n"
	spoilt   = "def test_a():\n    sume(1, 1)\n"
	untested = "def lid():\n    pass\n"
)

// test tells failures by path and line on standard output, and sums up.
func TestTest(t *testing.T) {
	desk(t, tray)
	put(t, "lid_test.star", failing)
	if err := os.Mkdir("sub", 0o777); err != nil {
		t.Fatal(err)
	}
	put(t, "sub/lid_test.star", passing)
	cli("test", ".").wants(t, engine.Faulty, "lid_test.star:7:5: error: test_lid: the width is 60, not 61 within 0.001 (test)\n",
		"looking at the lid", "lid_test.star: 2 tests, 1 failed", "sub/lid_test.star: 1 test, all well", "3 tests, 1 failed in 2 files")
	cli("test", "sub/lid_test.star").wants(t, engine.Clean, "", "sub/lid_test.star: 1 test, all well")
	cli("check", ".").wants(t, engine.Clean, "", "tray.star: 1 piece")
}

// A file of tests that does not run is told as a script is, and the others are run.
func TestTestFaults(t *testing.T) {
	desk(t, tray)
	cli("test", ".").wants(t, engine.Broken, "", `there is no test in folder "."`)
	cli("test").wants(t, engine.Broken, "", "test takes at least one file of tests or folder")
	cli("test", "tray.star").wants(t, engine.Broken, "", "tray.star is no file of tests: these are called NAME_test.star")
	cli("test", "none_test.star").wants(t, engine.Broken, "", `there is no file "none_test.star"`, "none_test.star: no test was run")
	put(t, "a_test.star", spoilt)
	put(t, "b_test.star", passing)
	put(t, "c_test.star", untested)
	cli("test", ".").wants(t, engine.Broken, "", "a_test.star:2:5: error: there is nothing called sume", "did you mean same?",
		"b_test.star: 1 test, all well", "c_test.star: error: there is no test in this file", "1 test, all well in 3 files")
	cli("make", "b_test.star").wants(t, engine.Broken, "", "creasewright test runs them")
}
