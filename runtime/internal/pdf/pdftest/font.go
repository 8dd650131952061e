package pdftest

import (
	"fmt"
	"regexp"
)

// font is a composite font with the letters of its codes.
type font struct {
	name  string
	runes map[uint16]string
}

var (
	mapForm   = regexp.MustCompile(`(?s)^/CIDInit /ProcSet findresource begin\n.*begincmap\n.*1 begincodespacerange\n<0000> <FFFF>\nendcodespacerange\n((?:[0-9]+ beginbfchar\n(?:<[0-9A-F]{4}> <[0-9A-F]+>\n)*endbfchar\n)*)endcmap\n.*$`)
	blockForm = regexp.MustCompile(`([0-9]+) beginbfchar\n((?:<[0-9A-F]{4}> <[0-9A-F]+>\n)*)endbfchar\n`)
	pairForm  = regexp.MustCompile(`<([0-9A-F]{4})> (<[0-9A-F]+>)\n`)
)

// readFont reads an embedded TrueType font whose codes are its glyphs' numbers.
func readFont(o *objects, d dict) (*font, error) {
	base, _ := d["BaseFont"].(name)
	below := o.dict(first(o.list(d["DescendantFonts"])))
	about := o.dict(below["FontDescriptor"])
	program, _ := o.get(about["FontFile2"]).(stream)
	if d["Subtype"] != name("Type0") || d["Encoding"] != name("Identity-H") || below["Subtype"] != name("CIDFontType2") ||
		below["CIDToGIDMap"] != name("Identity") || below["BaseFont"] != base || about["FontName"] != base ||
		!regexp.MustCompile(`^[A-Z]{6}\+`).MatchString(string(base)) || string(program.data[:min(4, len(program.data))]) != "\x00\x01\x00\x00" ||
		program.dict["Length1"] != float64(len(program.data)) {
		return nil, fmt.Errorf("the font %v, %v, %v", d, below, about)
	}
	if o.dict(below["CIDSystemInfo"]) == nil || len(o.list(below["W"])) != 2 {
		return nil, fmt.Errorf("the font %v", below)
	}
	f := &font{string(base), map[uint16]string{}}
	table, _ := o.get(d["ToUnicode"]).(stream)
	m := mapForm.FindSubmatch(table.data)
	if m == nil {
		return nil, fmt.Errorf("the letters of a font: %q", table.data)
	}
	for _, block := range blockForm.FindAllSubmatch(m[1], -1) {
		pairs := pairForm.FindAllSubmatch(block[2], -1)
		if fmt.Sprint(len(pairs)) != string(block[1]) || len(pairs) > 100 {
			return nil, fmt.Errorf("%s letters, and %d are there", block[1], len(pairs))
		}
		for _, p := range pairs {
			var code uint16
			if _, err := fmt.Sscanf(string(p[1]), "%X", &code); err != nil {
				return nil, err
			}
			s := scanner{rest: append([]byte("<FEFF"), p[2][1:]...)}
			v, err := s.value()
			if err != nil {
				return nil, err
			}
			f.runes[code] = words(v)
		}
	}
	return f, nil
}

func first(l []any) any {
	if len(l) == 0 {
		return nil
	}
	return l[0]
}
