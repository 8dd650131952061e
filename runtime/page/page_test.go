package page

import (
	"io"
	"net/http"
	"strings"
	"testing"
)

// A page is served at the URL that the server names, and knows nothing before a script is
// added.
func TestThePageIsServed(t *testing.T) {
	s, err := New(Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	res, err := http.Get(s.URL())
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	body, err := io.ReadAll(res.Body)
	if err != nil || res.StatusCode != http.StatusOK || !strings.Contains(string(body), "a/app.js") {
		t.Errorf("%v, %s, %q", err, res.Status, body)
	}
}
