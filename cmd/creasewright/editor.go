package main

import (
	"errors"
	"fmt"
	"os/exec"
	"regexp"
	"runtime"
	"strconv"
	"strings"
)

// editorCommand is the command line that opens a file in the user's editor, as words:
// the program and its arguments, in which {file} and {line} stand for the place.
type editorCommand []string

// parseEditor splits the value of --editor into words, as a shell would but without
// starting one. The program must be named, and {file} must come after it: a command
// line that ran the file itself would run what a stranger wrote.
func parseEditor(text string) (editorCommand, error) {
	words, err := splitWords(text, runtime.GOOS != "windows")
	switch {
	case err != nil:
	case len(words) == 0 || words[0] == "":
		err = errors.New("no program is named")
	case strings.ContainsAny(words[0], "{}"):
		err = fmt.Errorf("%q stands where the program should", words[0])
	case !strings.Contains(strings.Join(words[1:], " "), "{file}"):
		err = errors.New("{file} is missing: it stands for the file to open, and {line} for the line")
	default:
		for _, name := range regexp.MustCompile(`\{\w+\}`).FindAllString(text, -1) {
			if name != "{file}" && name != "{line}" {
				return nil, fmt.Errorf("--editor: %s is neither {file} nor {line}", name)
			}
		}
		return words, nil
	}
	return nil, fmt.Errorf("--editor: %w", err)
}

// args is the command line for a place. Each name is replaced within its word, so that
// a file stays one argument whatever it is called.
func (e editorCommand) args(path string, line int) []string {
	place := strings.NewReplacer("{file}", path, "{line}", strconv.Itoa(line))
	args := []string{e[0]}
	for _, word := range e[1:] {
		args = append(args, place.Replace(word))
	}
	return args
}

// start opens a file in the editor and does not wait for it. The path must be absolute,
// so that none is taken for an option.
func (e editorCommand) start(path string, line int) error {
	args := e.args(path, line)
	return startApart(exec.Command(args[0], args[1:]...))
}

// startApart starts a program that goes on when this one ends, by Ctrl-C too, and that
// nobody waits for.
func startApart(cmd *exec.Cmd) error {
	setApart(cmd)
	if err := cmd.Start(); err != nil {
		return err
	}
	go func() { _ = cmd.Wait() }() // how it ends is between it and the user
	return nil
}

// splitWords splits a command line at white space. Quotes, single or double, keep it
// together. With escapes, a backslash takes the character after it as it is, but not
// within single quotes and, within double quotes, only before one of "\$`; without, as
// where paths are written with it, it is a character like any other.
// Variables, patterns and all else that a shell would fill in are left as they stand.
func splitWords(text string, escapes bool) (words []string, err error) {
	if strings.ContainsRune(text, 0) {
		return nil, errors.New("there is a zero byte in it")
	}
	var word strings.Builder
	var quote rune
	begun := false // a word, which may be empty in quotes
	rest := []rune(text)
	for i := 0; i < len(rest); i++ {
		r := rest[i]
		escaped := escapes && r == '\\' && quote != '\''
		if escaped && quote == '"' {
			escaped = i+1 < len(rest) && strings.ContainsRune("\"\\$`", rest[i+1])
		}
		switch {
		case escaped && i+1 == len(rest):
			return nil, errors.New("it ends in a backslash")
		case escaped:
			i++
			word.WriteRune(rest[i])
			begun = true
		case quote != 0 && r == quote:
			quote = 0
		case quote == 0 && (r == '\'' || r == '"'):
			quote, begun = r, true
		case quote == 0 && strings.ContainsRune(" \t\r\n", r):
			if begun {
				words = append(words, word.String())
			}
			word.Reset()
			begun = false
		default:
			word.WriteRune(r)
			begun = true
		}
	}
	if quote != 0 {
		return nil, fmt.Errorf("the quote %c is not closed", quote)
	}
	if begun {
		words = append(words, word.String())
	}
	return words, nil
}
