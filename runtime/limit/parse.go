package limit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// unit is how a limit's value is written.
type unit int

const (
	plain unit = iota
	duration
	size
)

// factors are the endings a value may have, the one to print it with first.
// Bytes count in 1,024s, as memory is sold.
var factors = map[unit][]struct {
	ending string
	factor float64
}{
	plain:    {{"", 1}},
	duration: {{"ms", 1}, {"s", 1_000}, {"min", 60_000}, {"", 1_000}},
	size:     {{"KB", 1 << 10}, {"MB", 1 << 20}, {"GB", 1 << 30}},
}

// wants says what a value looks like.
var wants = map[unit]string{
	plain:    "a whole number",
	duration: "a time such as 10s or 2min",
	size:     "a size such as 512MB or 1GB",
}

// Put reads one limit as it is typed, "memory=1GB", and puts it in force.
func (s *Set) Put(text string) error {
	name, value, ok := strings.Cut(text, "=")
	if !ok {
		return fmt.Errorf("%q is not of the form name=value", text)
	}
	l, ok := named(strings.TrimSpace(name))
	if !ok {
		return fmt.Errorf("there is no limit called %q; the limits are %s", strings.TrimSpace(name), names())
	}
	f := facts[l]
	v, ok := f.unit.parse(strings.TrimSpace(value))
	if !ok {
		return fmt.Errorf("the limit %s = %q is not %s", f.name, strings.TrimSpace(value), wants[f.unit])
	}
	if v < 1 || v > f.most {
		return fmt.Errorf("the limit %s = %s is not between %s and %s", f.name, strings.TrimSpace(value), f.unit.format(1), f.unit.format(f.most))
	}
	s[l] = v
	return nil
}

func named(name string) (Limit, bool) {
	for l, f := range facts {
		if f.name == name {
			return Limit(l), true
		}
	}
	return 0, false
}

func names() string {
	var all []string
	for _, f := range facts {
		all = append(all, f.name)
	}
	return strings.Join(all[:count-1], ", ") + " and " + all[count-1]
}

func (u unit) parse(s string) (int64, bool) {
	digits := strings.TrimRight(s, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ ")
	ending := strings.TrimSpace(s[len(digits):])
	for _, f := range factors[u] {
		if !strings.EqualFold(f.ending, ending) {
			continue
		}
		v, err := strconv.ParseFloat(digits, 64)
		if v *= f.factor; err != nil || v != math.Trunc(v) || math.Abs(v) > 1e18 {
			return 0, false
		}
		return int64(v), true
	}
	return 0, false
}

// format is a value for a sentence.
func (u unit) format(v int64) string {
	switch u {
	case duration:
		d := time.Duration(v) * time.Millisecond
		if d < time.Second {
			return fmt.Sprintf("%d ms", v)
		}
		return strconv.FormatFloat(d.Seconds(), 'g', 6, 64) + " s"
	case size:
		number, ending := largest(v)
		return number + " " + ending
	}
	return grouped(v)
}

// typed is a value as it is given on the command line.
func (u unit) typed(v int64) string {
	if u == plain {
		return strconv.FormatInt(v, 10)
	}
	return strings.ReplaceAll(u.format(v), " ", "")
}

// largest writes bytes in the largest unit in which they are a whole number or
// at least ten.
func largest(v int64) (number, ending string) {
	all := factors[size]
	for i := len(all) - 1; i > 0; i-- {
		if f := float64(v) / all[i].factor; f == math.Trunc(f) && f > 0 || f >= 10 {
			return strconv.FormatFloat(math.Round(f), 'f', 0, 64), all[i].ending
		}
	}
	return strconv.FormatFloat(math.Ceil(float64(v)/all[0].factor), 'f', 0, 64), all[0].ending
}

// grouped parts thousands with commas.
func grouped(v int64) string {
	s := strconv.FormatInt(v, 10)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
}
