package solidtest

import (
	_ "embed"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/outsidetest"
)

//go:embed validate.cjs
var validate string

// Need skips a test unless the programs are there that Validate, Import and Mend run.
func Need(t testing.TB) {
	t.Helper()
	outsidetest.Need(t, "assimp-utils and admesh of Debian and, installed globally, gltf-validator of npm")
}

// Validate asks that Khronos' validator finds nothing at all in a GLB file, neither errors and warnings nor
// infos and hints.
func Validate(t testing.TB, files ...string) {
	t.Helper()
	root, err := exec.Command("npm", "root", "--global").Output()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("node", append([]string{"-e", validate, "--"}, files...)...)
	cmd.Env = append(os.Environ(), "NODE_PATH="+strings.TrimSpace(string(root)))
	if said, err := cmd.CombinedOutput(); err != nil || len(said) > 0 {
		t.Errorf("%v: %s", err, said)
	}
}

// Import has Assimp read files and gives its own account of each.
func Import(t testing.TB, file string) string {
	t.Helper()
	said, err := exec.Command("assimp", "info", file).CombinedOutput()
	if err != nil {
		t.Errorf("%s: %v: %s", file, err, said)
	}
	return string(said)
}

// admeshCount is a line of counts in ADMesh's account.
var admeshCount = regexp.MustCompile(`(?m)^(Facets with \d disconnected edges?|Total disconnected facets|Degenerate facets|Edges fixed|Facets removed|Facets added|Facets reversed|Backwards edges|Normals fixed) *: *(\d+)`)

// Mend has ADMesh look for what is to be mended in an STL file, which must be nothing but
// normals: it takes products in single precision, which turns the normal of a sliver that
// is ten thousand times as long as wide. ReadSTL holds every normal to its triangle.
func Mend(t testing.TB, file string) {
	t.Helper()
	said, err := exec.Command("admesh", file).CombinedOutput()
	if err != nil {
		t.Fatalf("%s: %v: %s", file, err, said)
	}
	counts := admeshCount.FindAllSubmatch(said, -1)
	if len(counts) != 11 {
		t.Fatalf("%s: %d counts, want 11:\n%s", file, len(counts), said)
	}
	for _, c := range counts {
		if string(c[2]) != "0" && string(c[1]) != "Normals fixed" {
			t.Errorf("%s: %s: %s", filepath.Base(file), c[1], c[2])
		}
	}
}
