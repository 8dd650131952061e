package script

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"path"
	"slices"
	"strings"
	"unicode/utf8"

	"go.starlark.net/starlark"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
)

// Prefixes of load labels that do not lie beside the script.
const (
	libraryPrefix = "//"
	shelfPrefix   = "@shelf//"
)

// module is a loaded file, run once however often it is loaded.
type module struct {
	globals starlark.StringDict
	err     error
}

// load is what Starlark calls for a load statement.
// A module that failed is kept with its error, so that each file that loads it gets
// the same fault without running it again. Globals are frozen by the language when the
// module ends. The error is a *diag.Finding or a *loadError.
func (h *host) load(thread *starlark.Thread, label string) (starlark.StringDict, error) {
	site := h.siteOf(thread.CallStack())
	full, finding := fullLabel(h.loading[len(h.loading)-1], label)
	if finding == nil {
		finding = h.cycle(full)
	}
	if finding != nil {
		finding.Site = site
		return nil, finding
	}
	m, ok := h.modules[full]
	if !ok {
		m = &module{}
		m.globals, m.err = h.exec(thread, full)
		h.modules[full] = m
	}
	return m.globals, loadedFrom(site, m.err)
}

// loadedFrom puts the load line in front of a fault that points at the file
// itself; a fault found while the file ran has it in its call stack already.
func loadedFrom(site source.Site, err error) error {
	if f, ok := err.(*diag.Finding); ok {
		g := *f
		g.Site = append(site[:len(site):len(site)], f.Site...)
		if !f.Site.First().Known() {
			g.Site = site
		}
		return &g
	}
	if err == nil {
		return nil
	}
	return &loadError{site, err}
}

// loadError is a parser's or resolver's error in a loaded file, and the load
// lines that led there.
type loadError struct {
	site  source.Site
	cause error
}

func (e *loadError) Error() string { return e.cause.Error() }
func (e *loadError) Unwrap() error { return e.cause }

// cycle is the fault of loading a file that is still being run, with the whole
// loop named.
func (h *host) cycle(label string) *diag.Finding {
	for i, l := range h.loading {
		if l == label {
			if i == len(h.loading)-1 {
				return diag.Scriptf(nil, "%s loads itself", label)
			}
			loop := append(append([]string{}, h.loading[i:]...), label)
			return diag.Scriptf(nil, "the files load each other in a ring: %s", strings.Join(loop, " loads ")).
				WithHint("move what both need into a third file")
		}
	}
	return nil
}

// fullLabel is the label by which the store knows a file that another one
// loads, or a fault without a site. Names without a prefix count from the
// folder of the file that loads them, and no label leads upward.
func fullLabel(from, label string) (string, *diag.Finding) {
	if reason := badLabel(label); reason != "" {
		return "", diag.Scriptf(nil, "load: %s %s", quote(label), reason).
			WithHint(`write "name.star" for a file beside the script, "//name.star" for the standard library, "@shelf//name.star" for the shelf`)
	}
	if rootOf(label) != "" {
		return label, nil
	}
	root := rootOf(from)
	return root + path.Join(path.Dir(from[len(root):]), label), nil
}

// rootOf is the prefix of a label: the standard library's, the shelf's, or
// none.
func rootOf(label string) string {
	for _, prefix := range []string{shelfPrefix, libraryPrefix} {
		if strings.HasPrefix(label, prefix) {
			return prefix
		}
	}
	return ""
}

// badLabel says what is wrong with a label, or nothing.
func badLabel(label string) string {
	name := label[len(rootOf(label)):]
	switch {
	case name == "":
		return "names no file"
	case strings.ContainsRune(name, 0):
		return "holds a NUL character"
	case strings.Contains(name, `\`):
		return "holds a backslash; folders are parted by /"
	case strings.HasPrefix(name, "/"), strings.Contains(name, ":"):
		return "is not a place beside the script"
	case strings.HasPrefix(name, "@"):
		return "names a shelf that does not exist"
	}
	for _, part := range strings.Split(name, "/") {
		if part == ".." {
			return "leads out of its folder"
		}
		if part == "" || part == "." {
			return "has an empty folder name"
		}
	}
	if path.Ext(name) != ".star" || path.Base(name) == ".star" {
		return "does not end in .star"
	}
	return ""
}

// absent is the fault of a text that could not be had.
// Where only the standard library has a file of the name, the hint says how to load it.
func absent(store *source.Store, label string, err error) *diag.Finding {
	if !errors.Is(err, source.ErrAbsent) {
		return diag.Scriptf(wholeFile(label), "%s cannot be read: %v", quote(label), err)
	}
	name := label[len(rootOf(label)):]
	switch rootOf(label) {
	case libraryPrefix:
		return diag.Scriptf(wholeFile(label), "the standard library has no file %s", quote(name))
	case shelfPrefix:
		return diag.Scriptf(wholeFile(label), "the shelf has no file %s", quote(name))
	}
	f := diag.Scriptf(wholeFile(label), "there is no file %s", quote(name))
	if _, err := store.Text(libraryPrefix + label); err == nil {
		f.WithHint("the standard library has one: write %s", quote(libraryPrefix+label))
	}
	return f
}

// nearModule is a file of the standard library that is spelt nearly like one that it has not.
func (h *host) nearModule(label string) (string, bool) {
	if rootOf(label) != libraryPrefix {
		return "", false
	}
	modules := map[string]bool{}
	for _, module := range h.library() {
		modules[module] = true
	}
	return model.Nearest(label, slices.Sorted(maps.Keys(modules)))
}

// MaxText is the largest script or module that is run, in bytes: the parser's
// worst cases grow faster than the text, and no script a person wrote comes
// near.
const MaxText = 256 << 10

// byteOrderMark is what some editors put before a text in UTF-8.
const byteOrderMark = "\ufeff"

// readText gives the text behind a label ready for the parser: without its
// byte-order mark, its lines ended by LF, and known to be UTF-8 without NUL,
// which would end the parser's reading without a word.
func readText(store *source.Store, label string) ([]byte, *diag.Finding) {
	text, err := store.Text(label)
	if err != nil {
		return nil, absent(store, label, err)
	}
	if len(text) > MaxText {
		return nil, diag.Scriptf(wholeFile(label), "%s is %d KB long; a script may be %d KB",
			quote(label), (len(text)+1023)>>10, MaxText>>10)
	}
	text = withLineFeeds(bytes.TrimPrefix(text, []byte(byteOrderMark)))
	if i := badByte(text); i >= 0 {
		return nil, badByteFinding(label, text, i)
	}
	return text, nil
}

// badByte is the place of the first byte that may not stand in a script, or −1.
func badByte(text []byte) int {
	for i := 0; i < len(text); {
		r, size := utf8.DecodeRune(text[i:])
		if r == 0 || r == utf8.RuneError && size == 1 {
			return i
		}
		i += size
	}
	return -1
}

// badByteFinding explains the byte at i, which may not stand in a script.
func badByteFinding(label string, text []byte, i int) *diag.Finding {
	site := siteAt(label, text, i)
	if text[i] == 0 {
		return diag.Scriptf(site, "there is a NUL character here").
			WithHint("delete it; a script is plain text")
	}
	return diag.Scriptf(site, "the byte 0x%02X here is not UTF-8 text", text[i]).
		WithHint("save the script as UTF-8")
}

// withLineFeeds is the text with every line ended by LF, as the parser reads it:
// CR LF and a lone CR end a line too.
func withLineFeeds(text []byte) []byte {
	if bytes.IndexByte(text, '\r') < 0 {
		return text
	}
	text = bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n"))
	return bytes.ReplaceAll(text, []byte("\r"), []byte("\n"))
}

// siteAt marks the one character at a byte of a text.
func siteAt(label string, text []byte, i int) source.Site {
	line := 1 + bytes.Count(text[:i], []byte("\n"))
	start := bytes.LastIndexByte(text[:i], '\n') + 1
	column := 1 + utf8.RuneCount(text[start:i])
	return source.Site{{File: label, Line: line, Column: column, EndLine: line, EndColumn: column + 1}}
}

// wholeFile is the site of a fault that has no line.
func wholeFile(label string) source.Site { return source.Site{{File: label}} }

// quote puts a text in double quotes for a message, cut short when it is long.
func quote(s string) string {
	const most = 60
	s = s[:min(len(s), (most+1)*utf8.UTFMax)]
	if r := []rune(s); len(r) > most {
		s = string(r[:most-1]) + "…"
	}
	return fmt.Sprintf("%q", s)
}

// mostListed is how many words a list names before it counts the rest.
const mostListed = 20

// list joins words the way a sentence does: a, b and c.
func list(words []string, last string) string {
	if n := len(words) - mostListed; n > 1 {
		words = append(words[:mostListed:mostListed], fmt.Sprintf("%d others", n))
	}
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	n := len(words) - 1
	return strings.Join(words[:n], ", ") + " " + last + " " + words[n]
}
