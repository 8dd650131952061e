package page

import (
	"os"
	"testing"

	"github.com/creasewright/creasewright/runtime/page/browsertest"
)

func TestMain(m *testing.M) {
	code := m.Run()
	browsertest.Close()
	os.Exit(code)
}
