package publish

import (
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/creasewright/creasewright/runtime/engine"
)

// mount gives a folder on a small disk of its own.
func mount(t *testing.T, options string) string {
	t.Helper()
	dir := t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, options); err != nil {
		t.Skipf("no disk of its own to be had: %v", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(dir, 0); err != nil {
			t.Error(err)
		}
	})
	return dir
}

// A disk without room for all of the new files keeps all of the old ones.
func TestFullDisk(t *testing.T) {
	dir := mount(t, "size=256k")
	publishAll(t, dir, edition(1)...) // 6 × 21 KB
	before := stands(t, dir)
	done, err := once(Folder{Path: dir}, append(edition(2), file("big.cut.svg", strings.Repeat("x", 90<<10))), true)
	if err == nil || !strings.Contains(err.Error(), "no space left on device") || strings.Contains(err.Error(), dir) || len(done.Written)+len(done.Removed) > 0 {
		t.Errorf("%+v, %v", done, err)
	}
	after := stands(t, dir)
	if len(after) != len(before) {
		t.Errorf("%d files, and there were %d", len(after), len(before))
	}
	for name, text := range before {
		if after[name] != text {
			t.Errorf("%s is not what it was", name)
		}
	}
	publishAll(t, dir, edition(3)[:2]...) // fits
}

func TestReadOnlyDisk(t *testing.T) {
	dir := mount(t, "size=1m")
	publishAll(t, dir, edition(1)...)
	if err := syscall.Mount("tmpfs", dir, "tmpfs", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""); err != nil {
		t.Skip(err)
	}
	before := stands(t, dir)
	if done, err := once(Folder{Path: dir, Script: "tea.star"}, edition(1), true); err != nil || len(done.Written) > 0 {
		t.Errorf("the same files once more: %+v, %v", done, err)
	}
	if _, err := once(Folder{Path: dir}, edition(2), true); err == nil || !strings.Contains(err.Error(), "read-only file system") {
		t.Errorf("other files: %v", err)
	}
	if after := stands(t, dir); after["report.json"] != before["report.json"] || len(after) != len(before) {
		t.Error("the old files are not what they were")
	}
	if _, err := once(Folder{Path: filepath.Join(dir, "new")}, edition(1), true); err == nil || !strings.Contains(err.Error(), "cannot make the output folder") {
		t.Errorf("a new folder: %v", err)
	}
}

// nobodyArgument has the test's own program publish as one who may write
// nowhere: the superuser may write to a folder that is read-only.
const nobodyArgument = "(publish as nobody)"

const nobody = 65534 // Debian's user and group of that name

func init() {
	if len(os.Args) != 3 || os.Args[1] != nobodyArgument {
		return
	}
	if os.Getuid() == 0 {
		if err := errors.Join(syscall.Setgroups(nil), syscall.Setgid(nobody), syscall.Setuid(nobody)); err != nil {
			fmt.Println(err)
			os.Exit(2)
		}
	}
	done, err := once(Folder{Path: os.Args[2]}, edition(2), true)
	fmt.Printf("%d written: %v\n", len(done.Written), err)
	os.Exit(0)
}

func TestReadOnlyFolder(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	publishAll(t, dir, edition(1)...)
	before := stands(t, dir)
	for path, mode := range map[string]os.FileMode{dir: 0o555, filepath.Dir(filepath.Dir(dir)): 0o755} {
		if err := os.Chmod(path, mode); err != nil {
			t.Fatal(err)
		}
	}
	defer os.Chmod(dir, 0o755)
	itself, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	said, err := exec.Command(itself, nobodyArgument, dir).CombinedOutput()
	if err != nil || !strings.HasPrefix(string(said), "0 written: ") || !strings.Contains(string(said), "permission denied") {
		t.Errorf("%v: %s", err, said)
	}
	if after := stands(t, dir); !maps.Equal(after, before) {
		t.Error("the old files are not what they were")
	}
}

// Who holds an old file open reads it to its end; who opens it anew has the new
// one.
func TestAFileHeldOpen(t *testing.T) {
	dir := t.TempDir()
	publishAll(t, dir, edition(1)...)
	held, err := os.Open(filepath.Join(dir, "tea.cut.svg"))
	if err != nil {
		t.Fatal(err)
	}
	defer held.Close()
	publishAll(t, dir, edition(2)...)
	if text, err := io.ReadAll(held); err != nil || string(text) != string(edition(1)[0].Bytes) {
		t.Errorf("held: %.14q, %v", text, err)
	}
	if got := stands(t, dir)["tea.cut.svg"]; got != string(edition(2)[0].Bytes) {
		t.Errorf("anew: %.14q", got)
	}
}

// A link to a device is replaced and not written through.
func TestALinkToADevice(t *testing.T) {
	dir := t.TempDir()
	if err := os.Symlink("/dev/full", filepath.Join(dir, "tea.cut.svg")); err != nil {
		t.Fatal(err)
	}
	done, err := once(Folder{Path: dir}, []engine.File{file("tea.cut.svg", "t")}, false)
	if err != nil || len(done.Written) != 1 || stands(t, dir)["tea.cut.svg"] != "t" {
		t.Errorf("%+v, %v", done, err)
	}
}
