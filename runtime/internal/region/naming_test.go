package region

import (
	"slices"
	"testing"
)

func TestDistinct(t *testing.T) {
	a, b := func(s string) naming { return naming{s, 0} }, func(s string) naming { return naming{s, 1} }
	tests := []struct {
		name   string
		wanted []naming
		want   []string
	}{
		{"none", nil, []string{}},
		{"pieces in order", []naming{a("top"), a("left"), a("top"), a("top")}, []string{"top", "left", "top.2", "top.3"}},
		{"the lower rank first", []naming{b("top"), a("top"), b("left")}, []string{"top.2", "top", "left"}},
		{"a number that is taken", []naming{a("top"), a("top"), a("top.2")}, []string{"top", "top.3", "top.2"}},
		{"a piece of a piece", []naming{a("top.2"), a("top.2"), a("top")}, []string{"top.2", "top.2.2", "top"}},
		{"among the other's pieces", []naming{b("e0"), a("e0"), b("e0"), a("e0")}, []string{"e0.2", "e0", "e0.3", "e0.4"}},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			if got := distinct(test.wanted); !slices.Equal(got, test.want) {
				t.Errorf("%v, want %v", got, test.want)
			}
		})
	}
}
