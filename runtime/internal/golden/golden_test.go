package golden

import "testing"

func TestDifferencesAreFoundAndQuoted(t *testing.T) {
	for _, c := range []struct {
		got, want       string
		at, line        int
		quoted, instead string
	}{
		{"", "", -1, 0, "", ""},
		{"one\ntwo\n", "one\ntwo\n", -1, 0, "", ""},
		{"one\ntwa\nend", "one\ntwo\nend", 6, 2, "twa", "two"},
		{"one\n", "one\ntwo\n", 4, 2, "", "two"},
		{"one\ntwo\n", "one\n", 4, 2, "two", ""},
	} {
		at := firstDifference([]byte(c.got), []byte(c.want))
		if at != c.at {
			t.Errorf("%q against %q: differ at %d, want %d", c.got, c.want, at, c.at)
		}
		if at < 0 {
			continue
		}
		if line := lineAt([]byte(c.want), at); line != c.line {
			t.Errorf("%q against %q: line %d, want %d", c.got, c.want, line, c.line)
		}
		if q, i := string(excerpt([]byte(c.got), at)), string(excerpt([]byte(c.want), at)); q != c.quoted || i != c.instead {
			t.Errorf("%q against %q: quoted %q and %q", c.got, c.want, q, i)
		}
	}
}

func TestOrphansAreToldFromOtherFiles(t *testing.T) {
	asked := map[string]bool{"tray.svg": true}
	for name, want := range map[string]bool{"tray.svg": false, "lid.svg": true, "board.py": false, "fuzz": false} {
		if got := orphan(name, []string{".svg"}, asked); got != want {
			t.Errorf("%s: orphan %v, want %v", name, got, want)
		}
	}
}
