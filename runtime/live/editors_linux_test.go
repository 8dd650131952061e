package live

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/outsidetest"
)

// editor is a way of editing parts.star in a terminal: how it is started, and
// what is typed to put a text at the top and save, and to leave.
type editor struct {
	name  string
	start []string
	save  func(text string) string
	leave string
}

func vim(name string, settings ...string) editor {
	start := []string{"vim", "-u", "NONE", "-N"}
	for _, s := range settings {
		start = append(start, "-c", "set "+s)
	}
	return editor{"vim " + name, append(start, "parts.star"), func(text string) string {
		return "ggI" + text + "\x1b:w\r"
	}, ":q!\r"}
}

func emacs(name string, settings string) editor {
	return editor{"emacs " + name, []string{"emacs", "-nw", "-q", "--eval", "(progn (setq inhibit-startup-screen t) " + settings + ")", "parts.star"},
		func(text string) string { return "\x1b<" + text + "\x18\x13" }, "\x18\x03"}
}

// editors are those of Debian, in the ways they can be set to save.
var editors = []editor{
	vim("as it comes"),
	vim("writing in place", "backupcopy=yes"),
	vim("writing anew", "backupcopy=no"),
	vim("with backups", "backup", "backupcopy=auto"),
	vim("without a copy", "nowritebackup", "nobackup"),
	{"nano as it comes", []string{"nano", "parts.star"}, func(text string) string { return "\x1b\\" + text + "\x0f\r" }, "\x18"},
	{"nano with backups", []string{"nano", "-B", "parts.star"}, func(text string) string { return "\x1b\\" + text + "\x0f\r" }, "\x18"},
	emacs("as it comes", ""),
	emacs("copying", "(setq backup-by-copying t)"),
	emacs("without backups", "(setq make-backup-files nil)"),
	emacs("with care", "(setq-default file-precious-flag t)"),
	{"mg", []string{"mg", "parts.star"}, func(text string) string { return "\x1b<" + text + "\x18\x13" }, "\x18\x03"},
	{"joe", []string{"joe", "parts.star"}, func(text string) string { return "\x0bU" + text + "\x0bD\r" }, "\x03"},
}

// The real editors, in a terminal: what they save is what the files are of, and
// none of their intermediate states is ever told.
func TestEditors(t *testing.T) {
	outsidetest.Need(t, "emacs-nox, joe, mg, nano and vim of Debian")
	for _, e := range editors {
		t.Run(e.name, func(t *testing.T) {
			if _, err := exec.LookPath(e.start[0]); err != nil {
				t.Fatal(err)
			}
			dir, job := newJob(t)
			told := watching(t, job)
			next(t, told)
			term := startTerminal(t, dir, e.start...)
			term.rest()
			for i := range 4 {
				term.keys(e.save(fmt.Sprintf("size = %d #", 71+i)))
				becomes(t, told, job, 71+i)
				term.rest()
			}
			term.keys(e.leave)
			quiet(t, told)
		})
	}
}

// becomes waits until the files are of a size, by sound runs alone.
func becomes(t *testing.T, told <-chan Outcome, job Job, size int) {
	t.Helper()
	for deadline := time.After(hangGuard); ; {
		select {
		case o := <-told:
			if o.Exit != engine.Clean {
				t.Errorf("a run that does not come of what was saved: exit %d, %v", o.Exit, o.Findings)
			}
			if strings.Contains(report(t, job), fmt.Sprintf(`"width": %d,`, size)) {
				return
			}
		case <-deadline:
			t.Fatalf("the files are not of size %d:\n%s", size, report(t, job))
		}
	}
}

// Commands that change files, each given the text to put into parts.star.
var commands = map[string]string{
	"sed in place":          `sed -i "s/.*/$TEXT/" parts.star`,
	"sed with a backup":     `sed -i.bak "s/.*/$TEXT/" parts.star`,
	"mv over it":            `echo "$TEXT" > new.star && mv new.star parts.star`,
	"mv from elsewhere":     `echo "$TEXT" > /dev/shm/new.star.$$ && mv /dev/shm/new.star.$$ parts.star`,
	"cp over it":            `echo "$TEXT" > new.star && cp new.star parts.star`,
	"cp with its times":     `echo "$TEXT" > new.star && touch -d 2001-01-01 new.star && cp -p new.star parts.star`,
	"install":               `echo "$TEXT" > new.star && install new.star parts.star`,
	"redirected":            `echo "$TEXT" > parts.star`,
	"truncated, then later": `: > parts.star && sleep 0.03 && echo "$TEXT" > parts.star`,
	"removed, then later":   `rm parts.star && sleep 0.03 && echo "$TEXT" > parts.star`,
	"written in two halves": `printf "size" > parts.star && sleep 0.04 && echo "$TEXT" > parts.star`,
	"tee":                   `echo "$TEXT" | tee parts.star > /dev/null`,
	"dd without truncating": `printf "%s #" "$TEXT" | dd of=parts.star conv=notrunc status=none`,
	"perl in place":         `perl -pi -e "s/.*/$TEXT/" parts.star`,
	"a link turned":         `mkdir -p other && echo "$TEXT" > other/$$.star && ln -sfn other/$$.star parts.star`,
	"behind a link":         `mkdir -p other && test -L parts.star || { mv parts.star other/parts.star && ln -s other/parts.star parts.star && sleep 0.2; }; echo "$TEXT" > other/parts.star`,
	"a hard link replaced":  `echo "$TEXT" > new.star && ln -f new.star parts.star`,
	"git checkout":          `git init -q . 2>/dev/null; git add parts.star && git -c user.name=x -c user.email=x@x commit -q --allow-empty -m a && echo "$TEXT" > parts.star && git -c user.name=x -c user.email=x@x commit -q -a -m b && git checkout -q HEAD~1 && git checkout -q -`,
	"folder put aside":      `cd .. && cp -r "$OLDPWD" "$OLDPWD.new" && echo "$TEXT" > "$OLDPWD.new/parts.star" && mv "$OLDPWD" "$OLDPWD.old" && mv "$OLDPWD.new" "$OLDPWD"; rm -rf "$OLDPWD.old"`,
	"folder made again":     `cp box.star /dev/shm/box.star.$$ && D="$PWD" && cd / && rm -rf "$D" && mkdir "$D" && mv /dev/shm/box.star.$$ "$D/box.star" && echo "$TEXT" > "$D/parts.star"`,
}

func TestCommandsThatSave(t *testing.T) {
	for name, command := range commands {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			if program := strings.Fields(command)[0]; program == "git" || program == "perl" {
				if _, err := exec.LookPath(program); err != nil {
					outsidetest.Missing(t, err)
				}
			}
			outer, job := newJob(t)
			dir := filepath.Join(outer, "work") // may be put aside
			move(t, outer, dir, "box.star", "parts.star")
			job.Script, job.Dir = filepath.Join(dir, "box.star"), filepath.Join(outer, "out")
			told := watching(t, job)
			next(t, told)
			for size := 61; size < 64; size++ {
				cmd := exec.Command("sh", "-c", "set -e; "+command)
				cmd.Dir = dir
				cmd.Env = append(os.Environ(), fmt.Sprintf("TEXT=size = %d", size))
				if out, err := cmd.CombinedOutput(); err != nil {
					t.Fatalf("%v\n%s", err, out)
				}
				waitForSize(t, told, job, size)
			}
		})
	}
}

// waitForSize waits until the files are of a size, whatever was told on the way.
func waitForSize(t *testing.T, told <-chan Outcome, job Job, size int) {
	t.Helper()
	for deadline := time.After(hangGuard); !strings.Contains(report(t, job), fmt.Sprintf(`"width": %d,`, size)); {
		select {
		case <-told:
		case <-deadline:
			t.Fatalf("the files are not of size %d:\n%s", size, report(t, job))
		}
	}
}

// move moves files into a new folder.
func move(t *testing.T, from, to string, names ...string) {
	t.Helper()
	if err := os.Mkdir(to, 0o755); err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		if err := os.Rename(filepath.Join(from, name), filepath.Join(to, name)); err != nil {
			t.Fatal(err)
		}
	}
}
