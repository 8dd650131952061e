//go:build unix

package safefile

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
	"testing"
)

// folder is a root with a file, a pipe that nobody writes to, a folder and links.
func folder(t *testing.T) (dir string, root *os.Root) {
	t.Helper()
	dir = filepath.Join(t.TempDir(), "out")
	err := errors.Join(
		os.MkdirAll(filepath.Join(dir, "folder"), 0o755),
		os.WriteFile(filepath.Join(dir, "file"), []byte("text"), 0o644),
		os.WriteFile(filepath.Join(dir, "..", "secret"), []byte("secret"), 0o644),
		syscall.Mkfifo(filepath.Join(dir, "pipe"), 0o644),
		os.Symlink("file", filepath.Join(dir, "link")),
		os.Symlink("folder", filepath.Join(dir, "to folder")),
		os.Symlink("../secret", filepath.Join(dir, "out")),
		os.Symlink("/dev/zero", filepath.Join(dir, "zero")),
	)
	if err != nil {
		t.Fatal(err)
	}
	root, err = OpenFolder(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { root.Close() })
	return dir, root
}

// Nothing here returns if a pipe is waited for.
func TestRead(t *testing.T) {
	_, root := folder(t)
	any := errors.New("any error")
	for _, c := range []struct {
		name  string
		links Links
		most  int64
		want  error
	}{
		{"file", Refuse, 4, nil},
		{"file", Follow, 4, nil},
		{"file", Refuse, 3, ErrTooLarge},
		{"link", Follow, 4, nil},
		{"link", Refuse, 4, ErrSpecial},
		{"out", Follow, 9, any},
		{"out", Refuse, 9, ErrSpecial},
		{"zero", Follow, 9, any},
		{"pipe", Follow, 9, ErrSpecial},
		{"pipe", Refuse, 9, ErrSpecial},
		{"folder", Follow, 9, ErrFolder},
		{"to folder", Follow, 9, ErrFolder},
		{"none", Refuse, 9, fs.ErrNotExist},
	} {
		text, err := Read(root, c.name, c.most, c.links)
		if (c.want == nil) != (err == nil && string(text) == "text") || c.want != any && !errors.Is(err, c.want) {
			t.Errorf("%s, links followed %v: %q, %v", c.name, c.links, text, err)
		}
		if err != nil && text != nil {
			t.Errorf("%s: %q came with an error", c.name, text)
		}
	}
}

// What has taken the file's place by the time it is opened is refused.
func TestReadAfterAnExchange(t *testing.T) {
	dir, root := folder(t)
	seen, err := root.Lstat("file")
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]error{"file": nil, "pipe": ErrSpecial, "folder": ErrFolder} {
		file, err := root.OpenFile(name, os.O_RDONLY|nonBlock, 0)
		if err != nil {
			t.Fatal(err)
		}
		if text, err := readOpened(file, nil, 9); !errors.Is(err, want) || want == nil && string(text) != "text" {
			t.Errorf("%s: %q, %v", name, text, err)
		}
		file.Close()
	}
	secret, err := os.Open(filepath.Join(dir, "out")) // a link, followed
	if err != nil {
		t.Fatal(err)
	}
	defer secret.Close()
	if text, err := readOpened(secret, seen, 9); err == nil {
		t.Errorf("another file was read: %q", text)
	}
	if text, err := readOpened(secret, nil, 5); !errors.Is(err, ErrTooLarge) {
		t.Errorf("of a larger file: %q, %v", text, err)
	}
	grows, err := os.Open("/proc/self/status") // of size 0 until it is read
	if err == nil {
		defer grows.Close()
		if text, err := readOpened(grows, nil, 5); !errors.Is(err, ErrTooLarge) || text != nil {
			t.Errorf("of a file without a size: %q, %v", text, err)
		}
	}
}

func TestOpenFolder(t *testing.T) {
	dir, root := folder(t)
	for name, ok := range map[string]bool{"": true, "folder": true, "to folder": true, "pipe": false, "file": false, "none": false, "out": false} {
		r, err := OpenFolder(filepath.Join(dir, name))
		if (err == nil) != ok {
			t.Errorf("%q: %v", name, err)
		}
		if err == nil {
			r.Close()
		} else if p := (*fs.PathError)(nil); !errors.As(err, &p) || p.Path != filepath.Join(dir, name) {
			t.Errorf("%q: the error is of another path: %v", name, err)
		}
		if name == "" {
			continue
		}
		if r, err = OpenBelow(root, name); (err == nil) != ok {
			t.Errorf("%q below: %v", name, err)
		}
		if err == nil {
			r.Close()
		}
	}
	if _, err := OpenFolder(""); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("no path: %v", err)
	}
	if err := os.Symlink("..", filepath.Join(dir, "up")); err != nil {
		t.Fatal(err)
	}
	if _, err := OpenBelow(root, "up"); err == nil {
		t.Error("a link out of the root was followed")
	}
}

func TestCause(t *testing.T) {
	cause := errors.New("cause")
	for _, err := range []error{cause, &fs.PathError{Path: "p", Err: cause}, &os.LinkError{Old: "o", Err: cause}} {
		if got := Cause(err); got != cause {
			t.Errorf("%v: %v", err, got)
		}
	}
}
