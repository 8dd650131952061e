// Package diagtest holds logs against the published schema with a validator
// that is not ours. It is for tests.
package diagtest

import (
	"bytes"
	_ "embed"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/outsidetest"
)

//go:embed sarif.py
var validator string

// python is Debian's own interpreter: only there do its python3-* packages
// live.
const python = "/usr/bin/python3"

// ValidSARIF asks that logs are valid against the OASIS schema of SARIF 2.1.0,
// which an npm package ships, by Debian's python3-jsonschema. The test is
// skipped unless CREASEWRIGHT_READERS is 1.
func ValidSARIF(t testing.TB, logs ...[]byte) {
	t.Helper()
	outsidetest.Need(t, "python3-jsonschema of Debian and, installed globally, @microsoft/jest-sarif of npm")
	args := []string{"-c", validator, schema(t)}
	for i, log := range logs {
		name := filepath.Join(t.TempDir(), "log.sarif")
		if err := os.WriteFile(name, log, 0o600); err != nil {
			t.Fatalf("log %d: %v", i, err)
		}
		args = append(args, name)
	}
	var said bytes.Buffer
	cmd := exec.Command(python, args...)
	cmd.Stdout, cmd.Stderr = &said, &said
	if err := cmd.Run(); err != nil {
		t.Errorf("%v: %s", err, said.Bytes())
	}
}

// schema is where the schema lies.
func schema(t testing.TB) string {
	t.Helper()
	root, err := exec.Command("npm", "root", "--global").Output()
	if err != nil {
		t.Fatal(err)
	}
	found, err := filepath.Glob(filepath.Join(strings.TrimSpace(string(root)), "@microsoft", "jest-sarif", "lib", "schemas", "sarif-2.1.0*.json"))
	if err != nil || len(found) != 1 {
		t.Fatalf("%d schemas of SARIF 2.1.0, want one: %v", len(found), err)
	}
	return found[0]
}
