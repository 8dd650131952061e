package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/outsidetest"
)

// What may stand at a place of the command line: the answer that every shell's text
// asks for. The number at the end is cobra's directive: 4 no files, 8 files of an
// ending, 16 folders, 2 no space behind.
func TestCompletions(t *testing.T) {
	desk(t, tray)
	put(t, "broken.star", broken)
	for _, c := range []struct {
		line  []string
		holds []string
	}{
		{[]string{"ma"}, []string{"make\t", "man\t", ":4\n"}},
		{[]string{"make", ""}, []string{"star\n:8\n"}},
		{[]string{"make", "tray.star", ""}, []string{":4\n"}},
		{[]string{"watch", ""}, []string{"star\n:8\n"}},
		{[]string{"fmt", "tray.star", ""}, []string{"star\n:8\n"}},
		{[]string{"check", "tray.star", ""}, []string{"star\n:8\n"}},
		{[]string{"check", "--format", ""}, []string{"text\njson\nsarif\n:4\n"}},
		{[]string{"make", "tray.star", "--set", ""}, []string{"width=\t60 in tray.star\n:6\n"}},
		{[]string{"make", "broken.star", "--set", ""}, []string{":6\n"}},
		{[]string{"make", "--limit", ""}, []string{"panels=\t", ":6\n"}},
		{[]string{"make", "--also", ""}, []string{"pdf\npng\n:4\n"}},
		{[]string{"make", "-o", ""}, []string{":16\n"}},
		{[]string{"words", ""}, []string{"\npanel\t", "\njoin-gap\t", ":4\n"}},
		{[]string{"words", "--rules", ""}, []string{"require\t", ":4\n"}},
		{[]string{"words", "//closures.star", ""}, []string{"tuck_end\t", ":4\n"}},
		{[]string{"completion", ""}, []string{"bash\nzsh\nfish\npowershell\n:4\n"}},
	} {
		got := cli(append([]string{"__complete"}, c.line...)...)
		for _, want := range c.holds {
			got.wants(t, engine.Clean, want)
		}
	}
	if got := cli("__complete", "words", "--rules", ""); strings.Contains(got.out, "\nflap\t") {
		t.Error("a word among the rules")
	}
	cli("--help").wants(t, engine.Clean, "Completion for bash, zsh, fish and PowerShell")
	cli("completion", "csh").wants(t, engine.Broken, "", "completion takes one of bash, zsh, fish, powershell")
	cli("completion").wants(t, engine.Broken, "", "completion takes one of bash, zsh, fish, powershell")
}

// A shell that is on the machine takes its text without a word of complaint, and
// each text asks this program.
func TestShellsTakeTheirText(t *testing.T) {
	dir := t.TempDir()
	for shell, program := range map[string][]string{
		"bash": {"bash", "-n"}, "zsh": {"zsh", "-n"}, "fish": {"fish", "--no-execute"},
		"powershell": {"pwsh", "-NoProfile", "-File"},
	} {
		t.Run(shell, func(t *testing.T) {
			got := cli("completion", shell)
			got.wants(t, engine.Clean, "__complete")
			path := filepath.Join(dir, "creasewright."+map[bool]string{true: "ps1", false: shell}[shell == "powershell"])
			put(t, path, got.out)
			if _, err := exec.LookPath(program[0]); err != nil {
				t.Skip(program[0], "is not there")
			}
			if out, err := exec.Command(program[0], append(program[1:], path)...).CombinedOutput(); err != nil || len(out) > 0 {
				t.Errorf("%v\n%s", err, out)
			}
		})
	}
}

// bash completes a command line with its text and this program, from end to end.
func TestBashCompletes(t *testing.T) {
	path, err := binary()
	if err != nil {
		t.Fatal(err)
	}
	bash, err := exec.LookPath("bash")
	if err != nil {
		outsidetest.Missing(t, err)
	}
	desk(t, tray)
	put(t, "notes.txt", "no script")
	put(t, "completion.bash", cli("completion", "bash").out)
	put(t, "ask.bash", `source completion.bash
# What the package bash-completion has: the words of the line, one of them under way.
_get_comp_words_by_ref() { cur=${COMP_WORDS[COMP_CWORD]} prev=${COMP_WORDS[COMP_CWORD-1]} words=("${COMP_WORDS[@]}") cword=$COMP_CWORD; }
shopt -s extglob
_filedir() { COMPREPLY=($(compgen -f -X "!*.@($1)" -- "$cur")); }
compopt() { :; }
COMP_WORDS=(creasewright "$@"); COMP_CWORD=$#; COMP_LINE="${COMP_WORDS[*]}"; COMP_POINT=${#COMP_LINE}; COMP_TYPE=9
__start_creasewright
printf '%s\n' "${COMPREPLY[@]}"
`)
	for want, line := range map[string][]string{
		"watch": {"wa"}, "tray.star": {"make", ""}, "width=": {"make", "tray.star", "--set", "wi"}, "tuck": {"words", "tuc"},
	} {
		ask := exec.Command(bash, append([]string{"--norc", "ask.bash"}, line...)...)
		ask.Env = append(os.Environ(), "PATH="+filepath.Dir(path)+string(os.PathListSeparator)+os.Getenv("PATH"))
		var talk bytes.Buffer
		ask.Stderr = &talk
		out, err := ask.Output()
		var first []string
		for _, l := range strings.Split(strings.TrimSpace(string(out)), "\n") {
			first = append(first, strings.Fields(l + " -")[0])
		}
		if err != nil || !strings.Contains(" "+strings.Join(first, " ")+" ", " "+want+" ") {
			t.Errorf("%q: %v, got %q %s", line, err, out, &talk)
		}
	}
}
