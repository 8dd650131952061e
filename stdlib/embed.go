// Package stdlib holds the modules that every script can load by "//name.star".
// They are written in the script language and travel inside the program.
package stdlib

import (
	"embed"
	"strings"
	"sync"
)

//go:embed *.star
var files embed.FS

// Text is the module a load label such as "//closures.star" names; ok is false
// when there is none.
func Text(label string) (text []byte, ok bool) {
	name, ok := strings.CutPrefix(label, "//")
	if !ok || isTest(name) {
		return nil, false
	}
	text, err := files.ReadFile(name)
	return text, err == nil
}

// Labels lists the load labels of all modules, in order.
func Labels() []string {
	// The folder is part of the program, so reading it cannot fail.
	entries, _ := files.ReadDir(".")
	var labels []string
	for _, e := range entries {
		if !isTest(e.Name()) {
			labels = append(labels, "//"+e.Name())
		}
	}
	return labels
}

// isTest reports whether a file is one of tests, which stand beside their modules.
func isTest(name string) bool { return strings.HasSuffix(name, "_test.star") }

// Functions gives the load label of the module that defines each function of the
// library. Names that begin with _ stay in their file; a name that two modules
// define belongs to the first in order.
var Functions = sync.OnceValue(func() map[string]string {
	labels := map[string]string{}
	for _, label := range Labels() {
		text, _ := Text(label)
		for line := range strings.Lines(string(text)) {
			name, ok := strings.CutPrefix(line, "def ")
			name, _, _ = strings.Cut(name, "(")
			if ok && !strings.HasPrefix(name, "_") && labels[name] == "" {
				labels[name] = label
			}
		}
	}
	return labels
})
