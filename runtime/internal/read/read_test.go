package read

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/source"
)

// design is a script's folder and a shelf, with something secret next to them.
func design(t *testing.T) (dir string, f *Folder) {
	t.Helper()
	dir = t.TempDir()
	put(t, filepath.Join(dir, "boxes", "tea.star"), "tea")
	put(t, filepath.Join(dir, "boxes", "parts", "flap.star"), "flap")
	put(t, filepath.Join(dir, "shelf", "twist.star"), "twist")
	put(t, filepath.Join(dir, "secret.star"), "secret")
	f, err := Beside(filepath.Join(dir, "boxes", "tea.star"), filepath.Join(dir, "shelf"))
	if err != nil {
		t.Fatal(err)
	}
	return dir, f
}

func put(t *testing.T, path, text string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

func TestTextsOfBothRoots(t *testing.T) {
	_, f := design(t)
	for label, want := range map[string]string{
		"tea.star":            "tea",
		"parts/flap.star":     "flap",
		"@shelf//twist.star":  "twist",
		f.Script():            "tea",
		"./../boxes/tea.star": "", // refused, see below
	} {
		got, err := f.Text(label)
		if string(got) != want || (err == nil) != (want != "") {
			t.Errorf("%s: got %q, %v", label, got, err)
		}
	}
}

func TestAbsentIsTold(t *testing.T) {
	dir, f := design(t)
	bare, err := Beside(filepath.Join(dir, "nowhere", "x.star"), "")
	if err != nil {
		t.Fatal(err)
	}
	for name, r := range map[string]struct {
		from  *Folder
		label string
	}{
		"no such neighbour":    {f, "mug.star"},
		"no such folder":       {f, "parts2/flap.star"},
		"not on the shelf":     {f, "@shelf//none.star"},
		"no shelf at all":      {bare, "@shelf//none.star"},
		"no script's folder":   {bare, "x.star"},
		"link to nothing here": {dangling(t, dir, f), "dangling.star"},
	} {
		if _, err := r.from.Text(r.label); !errors.Is(err, source.ErrAbsent) {
			t.Errorf("%s: %v is not source.ErrAbsent", name, err)
		}
	}
}

func dangling(t *testing.T, dir string, f *Folder) *Folder {
	t.Helper()
	if err := os.Symlink("nothing.star", filepath.Join(dir, "boxes", "dangling.star")); err != nil {
		t.Fatal(err)
	}
	return f
}

func TestNoWayOut(t *testing.T) {
	dir, f := design(t)
	inside := filepath.Join(dir, "boxes")
	for link, target := range map[string]string{
		"relative.star":      "../secret.star",
		"absolute.star":      filepath.Join(dir, "secret.star"),
		"up":                 "..",
		"parts/twosteps":     "../..",
		"loop.star":          "loop.star",
		"shelf-by-link.star": filepath.Join(dir, "shelf", "twist.star"),
	} {
		if err := os.Symlink(target, filepath.Join(inside, link)); err != nil {
			t.Fatal(err)
		}
	}
	for _, label := range []string{
		"../secret.star", "parts/../../secret.star", "/etc/passwd", dir + "/secret.star",
		`..\secret.star`, "C:secret.star", "tea.star\x00", "", ".", "..", "./tea.star", "parts//flap.star",
		"@shelf//../secret.star", "@shelf///etc/passwd", "@shelf//", "//closures.star",
		"relative.star", "absolute.star", "up/secret.star", "parts/twosteps/secret.star", "loop.star", "shelf-by-link.star",
	} {
		text, err := f.Text(label)
		if err == nil || errors.Is(err, source.ErrAbsent) {
			t.Errorf("%q gave %q, %v", label, text, err)
		} else if strings.Contains(err.Error(), inside) {
			t.Errorf("%q: the error names a folder: %v", label, err)
		}
	}
	if err := os.Symlink("tea.star", filepath.Join(inside, "inner.star")); err != nil {
		t.Fatal(err)
	}
	if text, err := f.Text("inner.star"); err != nil || string(text) != "tea" {
		t.Errorf("a link that stays inside: %q, %v", text, err)
	}
}

func TestScriptBehindALink(t *testing.T) {
	dir, _ := design(t)
	link := filepath.Join(dir, "today.star")
	if err := os.Symlink(filepath.Join("boxes", "tea.star"), link); err != nil {
		t.Fatal(err)
	}
	f, err := Beside(link, "")
	if err != nil {
		t.Fatal(err)
	}
	if text, err := f.Text(f.Script()); err != nil || string(text) != "tea" {
		t.Errorf("script: %q, %v", text, err)
	}
	if text, err := f.Text("parts/flap.star"); err != nil || string(text) != "flap" {
		t.Errorf("its neighbour: %q, %v", text, err)
	}
}

func TestSizeCap(t *testing.T) {
	dir, f := design(t)
	big := filepath.Join(dir, "boxes", "big.star")
	put(t, big, strings.Repeat("#", MaxSize))
	if text, err := f.Text("big.star"); err != nil || len(text) != MaxSize {
		t.Errorf("at the cap: %d bytes, %v", len(text), err)
	}
	put(t, big, strings.Repeat("#", MaxSize+1))
	if _, err := f.Text("big.star"); err == nil || !strings.Contains(err.Error(), "256 KB") {
		t.Errorf("over the cap: %v", err)
	}
}

// What is given for any label is the content of a regular file in a root.
func FuzzLabels(f *testing.F) {
	for _, s := range []string{"tea.star", "@shelf//twist.star", "../secret.star", "parts/./flap.star", "@shelf//a/../../secret.star"} {
		f.Add(s)
	}
	dir := f.TempDir()
	for name, text := range map[string]string{"boxes/tea.star": "inside", "shelf/twist.star": "inside", "secret.star": "secret"} {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			f.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			f.Fatal(err)
		}
	}
	folder, err := Beside(filepath.Join(dir, "boxes", "tea.star"), filepath.Join(dir, "shelf"))
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, label string) {
		if text, err := folder.Text(label); err == nil && !bytes.Equal(text, []byte("inside")) {
			t.Errorf("%q gave %q", label, text)
		}
	})
}

// A script that is a link to itself is told, in words.
func TestALinkThatLeadsNowhere(t *testing.T) {
	path := filepath.Join(t.TempDir(), "loop.star")
	if err := os.Symlink("loop.star", path); err != nil {
		t.Skip(err)
	}
	if _, err := Beside(path, ""); err == nil || err.Error() != "loop.star: links lead from one to the next without end" {
		t.Errorf("%v", err)
	}
}

// A script may be a link to another file of its folder and to no other file,
// neither from the beginning nor later.
func TestAScriptThatIsALinkOut(t *testing.T) {
	dir, _ := design(t)
	top := filepath.Join(dir, "boxes")
	script := filepath.Join(top, "link.star")
	for _, target := range []string{"../secret.star", filepath.Join(dir, "secret.star"), "/proc/self/environ", "/dev/zero", "../shelf/twist.star"} {
		turn(t, target, script)
		if _, err := os.Stat(script); err != nil {
			continue // a system without such a file
		}
		if _, err := Beside(script, ""); err == nil || err.Error() != "link.star: this is a link that leads out of its folder" {
			t.Errorf("%s: %v", target, err)
		}
	}
	turn(t, "parts/flap.star", script)
	f, err := Beside(script, "")
	if err != nil {
		t.Fatal(err)
	}
	for name, turned := range map[string]func(){
		"the file":   func() { turn(t, "../../secret.star", top, "parts", "flap.star") },
		"its folder": func() { turn(t, "../shelf", top, "parts") },
	} {
		if text, err := f.Text("flap.star"); err != nil || string(text) != "flap" {
			t.Fatalf("%q, %v", text, err)
		}
		put(t, filepath.Join(dir, "shelf", "flap.star"), "secret")
		if err := os.Rename(filepath.Join(top, "parts"), filepath.Join(top, "parts.old")); err != nil {
			t.Fatal(err)
		}
		if name == "the file" {
			put(t, filepath.Join(top, "parts", "flap.star"), "flap")
		}
		turned()
		if text, err := f.Text("flap.star"); err == nil {
			t.Errorf("%s turned: %q", name, text)
		}
		if err := errors.Join(os.RemoveAll(filepath.Join(top, "parts")), os.Rename(filepath.Join(top, "parts.old"), filepath.Join(top, "parts"))); err != nil {
			t.Fatal(err)
		}
	}
}

// turn makes a path a link to the target, whatever file it was.
func turn(t *testing.T, target string, path ...string) {
	t.Helper()
	place := filepath.Join(path...)
	link(t, target, place+".new")
	if err := os.Rename(place+".new", place); err != nil {
		t.Fatal(err)
	}
}
