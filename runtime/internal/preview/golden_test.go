package preview

import (
	"testing"

	"github.com/creasewright/creasewright/runtime/internal/golden"
)

// The goldens are a whole sheet and a fault over an empty page. They were
// looked at as pictures; look again after every update.
func TestGoldens(t *testing.T) {
	goldens := golden.In(t, "testdata", ".svg")
	goldens.Check("sleeve.svg", SVG(sleeve()))
	goldens.Check("fault.svg", Fault(lidFault(), lidLine, nil))
}
