package page

import (
	"fmt"
	"regexp"
	"strings"
	"sync"
)

// Modules of ours keep to a part of the language that is joined line by line: each import
// and export begins a line, imports are of names or of all of a module next to it, and
// exports are declarations of const, function and class, which never change their value.
var dialect = sync.OnceValue(func() (d struct{ importNames, importAll, exported, nameAs, importLater *regexp.Regexp }) {
	d.importNames = regexp.MustCompile(`^import \{([^{}]*)\} from "\./(\w+)\.js";$`)
	d.importAll = regexp.MustCompile(`^import \* as (\w+) from "\./(\w+)\.js";$`)
	d.exported = regexp.MustCompile(`^export ((?:const|class|(?:async )?function) (\w+)\b.*)$`)
	d.nameAs = regexp.MustCompile(`^(\w+)(?: as (\w+))?$`)
	d.importLater = regexp.MustCompile(`\bimport\s*\(|\bimport\.meta\b`)
	return d
})

// bundle joins a module and all that it imports, directly or not, to one script, so that a
// browser fetches one file and not dozens, each of which costs it some milliseconds. A
// module becomes a function that gives its exports, after those that it imports.
func bundle(entry string, read func(name string) ([]byte, error)) ([]byte, error) {
	b := bundler{read: read, exports: map[string]map[string]bool{}}
	if err := b.add(entry); err != nil {
		return nil, err
	}
	return []byte(b.out.String()), nil
}

type bundler struct {
	read    func(name string) ([]byte, error)
	out     strings.Builder
	exports map[string]map[string]bool // by module; nil of one that is being read
}

// add writes what a module imports and then itself, unless they are there already.
func (b *bundler) add(name string) error {
	if exports, seen := b.exports[name]; seen {
		if exports == nil {
			return fmt.Errorf("%s.js imports itself by way of others", name)
		}
		return nil
	}
	b.exports[name] = nil
	text, err := b.read(name + ".js")
	if err != nil {
		return err
	}
	body, exports, err := b.translate(string(text))
	if err != nil {
		return fmt.Errorf("%s.js: %w", name, err)
	}
	given := map[string]bool{}
	for _, e := range exports {
		given[e] = true
	}
	b.exports[name] = given
	fmt.Fprintf(&b.out, "const $%s = (() => {\n%sreturn { %s };\n})();\n", name, body, strings.Join(exports, ", "))
	return nil
}

// translate gives the body of a module's function and the names that it exports.
func (b *bundler) translate(text string) (body string, exports []string, err error) {
	var out strings.Builder
	lines := strings.Split(strings.TrimSuffix(text, "\n"), "\n")
	for i := 0; i < len(lines); i++ {
		line := lines[i]
		switch {
		case strings.HasPrefix(line, "import"):
			for !strings.HasSuffix(line, ";") && i+1 < len(lines) {
				i++
				line += " " + strings.TrimSpace(lines[i])
			}
			if line, err = b.imported(line); err != nil {
				return "", nil, err
			}
		case strings.HasPrefix(line, "export"):
			m := dialect().exported.FindStringSubmatch(line)
			if m == nil {
				return "", nil, fmt.Errorf("an export of this form is not joined: %s", line)
			}
			line, exports = m[1], append(exports, m[2])
		case dialect().importLater.MatchString(line):
			return "", nil, fmt.Errorf("an import within the text is not joined: %s", line)
		}
		out.WriteString(line + "\n")
	}
	return out.String(), exports, nil
}

// imported adds the module that a line imports from, and gives the line that takes as much
// from its function's result.
func (b *bundler) imported(line string) (string, error) {
	if m := dialect().importAll.FindStringSubmatch(line); m != nil {
		return fmt.Sprintf("const %s = $%s;", m[1], m[2]), b.add(m[2])
	}
	m := dialect().importNames.FindStringSubmatch(line)
	if m == nil {
		return "", fmt.Errorf("an import of this form is not joined: %s", line)
	}
	if err := b.add(m[2]); err != nil {
		return "", err
	}
	var names []string
	for item := range strings.SplitSeq(strings.TrimSuffix(strings.TrimSpace(m[1]), ","), ",") {
		n := dialect().nameAs.FindStringSubmatch(strings.TrimSpace(item))
		switch {
		case n == nil:
			return "", fmt.Errorf("what is imported is no name: %s", line)
		case !b.exports[m[2]][n[1]]:
			return "", fmt.Errorf("%s.js does not export %s", m[2], n[1])
		case n[2] != "":
			names = append(names, n[1]+": "+n[2])
		default:
			names = append(names, n[1])
		}
	}
	return fmt.Sprintf("const { %s } = $%s;", strings.Join(names, ", "), m[2]), nil
}
