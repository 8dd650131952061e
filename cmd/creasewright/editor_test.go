package main

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// What a shell makes of the same command lines (POSIX.1-2024, XCU 2.2 Quoting and 2.3
// Token Recognition), with nothing filled in.
func TestWordsOfACommandLine(t *testing.T) {
	for text, want := range map[string][]string{
		"":                              nil,
		"  \t ":                         nil,
		"code -g {file}:{line}":         {"code", "-g", "{file}:{line}"},
		`"/opt/my editor/ed" '+{line}'`: {"/opt/my editor/ed", "+{line}"},
		`ed "" x`:                       {"ed", "", "x"},
		`a"b c"'d e'f`:                  {"ab cd ef"},
		`a\ b \"c`:                      {"a b", `"c`},
		`"a\"b\\c\d"`:                   {`a"b\c\d`},
		`'a\'`:                          {`a\`},
		"$HOME `id` $(id) *;|&><~ !x":   {"$HOME", "`id`", "$(id)", "*;|&><~", "!x"},
	} {
		if got, err := splitWords(text, true); err != nil || !slices.Equal(got, want) {
			t.Errorf("%s: %q, %v", text, got, err)
		}
	}
	if got, err := splitWords(`"C:\my editors\ed.exe" +{line}`, false); err != nil || !slices.Equal(got, []string{`C:\my editors\ed.exe`, "+{line}"}) {
		t.Errorf("%q, %v", got, err)
	}
}

// Words that are quoted one by one come back as they were, whatever they hold.
func TestQuotedWordsComeBack(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 9))
	const letters = `ab'"\ ${}é` + "\t\n"
	for range 2000 {
		words := make([]string, rng.IntN(5))
		line := ""
		for i := range words {
			for range rng.IntN(6) {
				words[i] += string([]rune(letters)[rng.IntN(len([]rune(letters)))])
			}
			line += " " + shellQuoted(words[i])
		}
		if got, err := splitWords(line, true); err != nil || !slices.Equal(got, words) {
			t.Fatalf("%s: %q, %v, want %q", line, got, err, words)
		}
	}
}

// Command lines that would open something else than the file, or run it, are refused.
func TestHostileEditors(t *testing.T) {
	for text, want := range map[string]string{
		"":                        "no program is named",
		`"" {file}`:               "no program is named",
		"code":                    "{file} is missing",
		"code {line}":             "{file} is missing",
		"{file}":                  `"{file}" stands where the program should`,
		"./{file} {file}":         `"./{file}" stands where the program should`,
		"code {file}:{column}":    "{column} is neither {file} nor {line}",
		`code "{file}`:            `the quote " is not closed`,
		`code '{file}`:            "the quote ' is not closed",
		`code {file} \`:           "it ends in a backslash",
		"code {file}\x00; rm -rf": "there is a zero byte",
	} {
		if got, err := parseEditor(text); err == nil || !strings.Contains(err.Error(), want) || !strings.HasPrefix(err.Error(), "--editor: ") {
			t.Errorf("%q: %q, %v", text, got, err)
		}
	}
}

// A file is one argument, or a part of one, whatever it is called, and what its name
// looks like is not filled in again.
func TestFilesAreOneArgument(t *testing.T) {
	e, err := parseEditor(`ed -g "{file}:{line}" --at={line} ';' {file}`)
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{"/a b/c.star", `/"; rm -rf ~; '.star`, "/{line}/{file}.star", "/$(id)`id`.star", "/é\n.star"} {
		want := []string{"ed", "-g", path + ":12", "--at=12", ";", path}
		if got := e.args(path, 12); !slices.Equal(got, want) {
			t.Errorf("%q: %q", path, got)
		}
	}
}
