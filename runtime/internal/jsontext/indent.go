package jsontext

// Indent lays compact JSON out for people and for line-by-line comparison:
// what holds only plain values stands on one line, all else is a line a
// member. The layout depends on the shape alone, never on the length of a
// number.
// compact must be sound JSON without white space, as Writer makes it; other
// input may panic. Time is linear in its length: isFlat reads each container
// no further than to the first one inside.
func Indent(compact []byte) []byte {
	in := indenter{src: compact, out: make([]byte, 0, 2*len(compact))}
	in.value(0)
	return append(in.out, '\n')
}

type indenter struct {
	src []byte // what is left to read
	out []byte
}

// value copies the value that src starts with; depth is that of its line, a space
// each.
func (in *indenter) value(depth int) {
	switch in.src[0] {
	case '{', '[':
		in.container(depth)
	default:
		in.scalar()
	}
}

// container copies an object or an array: "key:" reads as a plain value, so
// the two are laid out alike.
func (in *indenter) container(depth int) {
	flat := isFlat(in.src)
	in.copy(1)
	for !closes(in.src[0]) {
		if !flat {
			in.newline(depth + 1)
		}
		in.value(depth + 1)
		if in.src[0] == ':' {
			in.copy(1)
			in.out = append(in.out, ' ')
			in.value(depth + 1)
		}
		if in.src[0] == ',' {
			in.copy(1)
			if flat {
				in.out = append(in.out, ' ')
			}
		}
	}
	if !flat {
		in.newline(depth)
	}
	in.copy(1)
}

func (in *indenter) scalar() { in.copy(scalarEnd(in.src)) }

func (in *indenter) copy(n int) {
	in.out = append(in.out, in.src[:n]...)
	in.src = in.src[n:]
}

// newline breaks the line and indents the next by one space for each level.
func (in *indenter) newline(depth int) {
	in.out = append(in.out, '\n')
	for range depth {
		in.out = append(in.out, ' ')
	}
}

// isFlat reports whether the container that src starts with holds only plain
// values.
func isFlat(src []byte) bool {
	for i := 1; ; {
		switch c := src[i]; {
		case closes(c):
			return true
		case c == '{' || c == '[':
			return false
		case c == ',' || c == ':':
			i++
		default:
			i += scalarEnd(src[i:])
		}
	}
}

// closes reports whether a byte ends a container.
func closes(c byte) bool { return c == '}' || c == ']' }

// scalarEnd is the length of the string, number or word that src starts with.
func scalarEnd(src []byte) int {
	if src[0] == '"' {
		for i := 1; ; i++ {
			switch src[i] {
			case '\\':
				i++
			case '"':
				return i + 1
			}
		}
	}
	for i, c := range src {
		if c == ',' || c == ':' || closes(c) {
			return i
		}
	}
	return len(src)
}
