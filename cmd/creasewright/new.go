package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"github.com/spf13/cobra"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/manual"
)

// newCommand is new: a first script. A file that is there is never written over; that,
// and a structure that is not known, are exit code 2. Without a structure the list of
// them is the result.
func newCommand(c *console) *cobra.Command {
	var flags scriptFlags
	asking := func() *manual.Manual { return manual.New(shelfPages(flags.shelfFolder())...) }
	cmd := &cobra.Command{
		Use:   "new FILE [STRUCTURE]",
		Short: "Write a first script: a standard structure with sizes, a board and contents",
		Long: "Writes a short script that makes a structure of the standard library, or of your own modules: its inside\n" +
			"sizes as parameters, a board, the contents and the piece. Change what you like and watch it. Without a\n" +
			"structure, lists them all. A file that is there already is left alone.",
		Example: "  creasewright new\n  creasewright new tea.star tuck_carton",
		Args:    cobra.MaximumNArgs(2),
		ValidArgsFunction: func(_ *cobra.Command, args []string, _ string) (out []cobra.Completion, _ cobra.ShellCompDirective) {
			if len(args) == 1 {
				for _, p := range asking().Structures() {
					out = append(out, cobra.CompletionWithDesc(p.Name, p.Brief))
				}
			}
			return out, cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) < 2 {
				c.result([]byte(structureList(asking().Structures(), args)))
				return nil
			}
			return c.begin(args[0], args[1], asking())
		},
	}
	flags.addShelf(cmd)
	return cmd
}

// structureList lists the structures, by module, with how one is begun in the file
// that was named.
func structureList(structures []manual.Page, named []string) string {
	var out strings.Builder
	group := ""
	for _, p := range structures {
		if p.Group != group {
			group = p.Group
			fmt.Fprintf(&out, "%s\n", group)
		}
		fmt.Fprintf(&out, "  %s\n%s", p.Name, manual.Wrapped(p.Brief, "      "))
	}
	file := "FILE"
	if len(named) > 0 {
		file = scriptName(named[0])
	}
	fmt.Fprintf(&out, "\ncreasewright new %s STRUCTURE begins a script with one of them.\n", file)
	return out.String()
}

// scriptName is the path of a script, which ends in .star.
func scriptName(path string) string {
	if strings.HasSuffix(path, ".star") {
		return path
	}
	return path + ".star"
}

// begin writes a script that makes a structure into a file that is not there yet.
func (c *console) begin(path, structure string, all *manual.Manual) error {
	structures := all.Structures()
	i := slices.IndexFunc(structures, func(p manual.Page) bool { return p.Name == structure })
	if i < 0 {
		return unknownStructure(structure, structures, all)
	}
	path = scriptName(path)
	file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	switch {
	case errors.Is(err, fs.ErrExist):
		return &exit{code: engine.Broken, err: fmt.Errorf("%s is there already and stays as it is; choose another name", path)}
	case errors.Is(err, fs.ErrNotExist):
		return &exit{code: engine.Broken, err: fmt.Errorf("%s: there is no folder %s", path, filepath.Dir(path))}
	case err != nil:
		return &exit{code: engine.Crashed, err: fmt.Errorf("cannot write %s: %w", path, cause(err))}
	}
	_, err = file.WriteString(starter(structures[i], path))
	if err = errors.Join(err, file.Close()); err != nil {
		return &exit{code: engine.Crashed, err: fmt.Errorf("cannot write %s: %w", path, cause(err))}
	}
	c.say(fmt.Sprintf("wrote %s: %s", path, structures[i].Brief))
	c.say("next: creasewright watch " + path)
	return nil
}

// exampleNames are the names of the piece and the first of its contents in an example.
var exampleNames = sync.OnceValue(func() [2]*regexp.Regexp {
	return [2]*regexp.Regexp{regexp.MustCompile(`(\bpiece\()"[^"]*"`), regexp.MustCompile(`(\bcontents\()"[^"%]*"`)}
})

// starter is the first script: the example of a structure, its piece named after the
// file, under a title.
func starter(p manual.Page, path string) string {
	name := strings.TrimSuffix(filepath.Base(path), ".star")
	if !pieceName(name) {
		name = strings.ReplaceAll(p.Name, "_", " ")
	}
	script := exampleNames()[0].ReplaceAllString(p.Script, `${1}"`+name+`"`)
	script = exampleNames()[1].ReplaceAllString(script, `${1}"product"`)
	r, n := utf8.DecodeRuneInString(name)
	title := string(unicode.ToUpper(r)) + name[n:] + ", a " + strings.ReplaceAll(p.Name, "_", " ")
	return fmt.Sprintf("\"\"\"%s.\"\"\"\n\n%s", title, script)
}

// pieceName reports whether a file's name will do for a piece.
func pieceName(name string) bool {
	for _, r := range name {
		if r > unicode.MaxASCII || !unicode.IsLetter(r) && !unicode.IsDigit(r) && !strings.ContainsRune(" _-", r) {
			return false
		}
	}
	return name != "" && len(name) <= 60 && unicode.IsLetter(rune(name[0]))
}

// leastAlike is how many first letters of a name must be found in another that may be
// meant: "tucked" and tuck_carton.
const leastAlike = 4

// unknownStructure is the error for a name that is no structure's, with those that
// may be meant: the nearest, those that begin alike, or what is found for the word.
func unknownStructure(name string, structures []manual.Page, all *manual.Manual) error {
	text := fmt.Sprintf("there is no structure %q", name)
	if functions := all.Named(name); slices.ContainsFunc(functions, func(p manual.Page) bool { return p.Kind == manual.Function }) {
		text = fmt.Sprintf("%s is a part and no structure: a structure says \"root\" first under Returns: and has an Example:", name)
		return &exit{code: engine.Broken, err: errors.New(text + "; \"creasewright words shelf\" shows one")}
	}
	var found []string
	add := func(pages []manual.Page) {
		for _, p := range pages {
			known := slices.ContainsFunc(structures, func(s manual.Page) bool { return s.Name == p.Name })
			if known && len(found) < 3 && !slices.Contains(found, p.Name) {
				found = append(found, p.Name)
			}
		}
	}
	near := manual.New(structures...).Nearest(name)
	add(slices.DeleteFunc(slices.Clone(structures), func(p manual.Page) bool { return p.Name != near }))
	if len(found) == 0 {
		begin := strings.ToLower(name[:min(len(name), leastAlike)])
		add(slices.DeleteFunc(slices.Clone(structures), func(p manual.Page) bool { return !strings.Contains(p.Name, begin) }))
	}
	if len(found) == 0 {
		add(manual.New().Search(name))
	}
	if len(found) > 0 {
		text += "; did you mean " + strings.Join(found, ", ")
	}
	return &exit{code: engine.Broken, err: errors.New(text + "; \"creasewright new\" lists them")}
}
