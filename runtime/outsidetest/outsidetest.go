// Package outsidetest is for tests that need programs from outside: readers of
// what the project writes, and editors. CREASEWRIGHT_READERS=1 in the
// environment says that they are all there; without it such tests are skipped.
package outsidetest

import (
	"os"
	"testing"
)

// Enabled reports whether the programs from outside are there, and more time
// than usual with them.
func Enabled() bool { return os.Getenv("CREASEWRIGHT_READERS") == "1" }

// Need skips the test unless Enabled. The programs are said as what to install.
func Need(t testing.TB, programs string) {
	t.Helper()
	if !Enabled() {
		t.Skip("set CREASEWRIGHT_READERS=1 to run; needs " + programs)
	}
}

// Missing ends a test for which something was not found: it fails if Enabled,
// and is skipped otherwise.
func Missing(t testing.TB, err error) {
	t.Helper()
	if Enabled() {
		t.Fatal(err)
	}
	t.Skip(err)
}

// Times is how often a test on random input tries: many times if Enabled. It says so
// in the test's log otherwise, by which .ci/test.go knows to run it again.
func Times(t testing.TB, few, many int) int {
	t.Helper()
	if Enabled() {
		return many
	}
	t.Log(More)
	return few
}

// More is what a test says that would do more if Enabled.
const More = "more with CREASEWRIGHT_READERS=1"
