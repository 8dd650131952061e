package limit

import (
	"strings"
	"testing"
	"time"
)

func TestEveryLimitIsKnown(t *testing.T) {
	s := Defaults()
	for _, l := range Limits() {
		if l.String() == "" || l.Doc() == "" || s[l] < 1 || s[l] > facts[l].most {
			t.Errorf("limit %d: %q, %q, %d", l, l, l.Doc(), s[l])
		}
	}
	if (Set{}).OrDefaults() != s || s.OrDefaults() != s {
		t.Error("the zero set does not stand for the defaults")
	}
}

// Law: what a hint says to type is taken, and allows more.
func TestHintsWork(t *testing.T) {
	for _, l := range Limits() {
		s := Defaults()
		for s[l] < facts[l].most {
			before := s[l]
			typed, ok := strings.CutPrefix(s.Raise(l), "--limit ")
			typed, ok2 := strings.CutSuffix(typed, " allows more")
			if err := s.Put(typed); !ok || !ok2 || err != nil || s[l] <= before {
				t.Fatalf("%s: hint %q, %v, %d after %d", l, s.Raise(l), err, s[l], before)
			}
		}
		if got := s.Raise(l); !strings.Contains(got, "the most") {
			t.Errorf("%s at its most: %q", l, got)
		}
	}
}

func TestPut(t *testing.T) {
	for text, want := range map[string]struct {
		l      Limit
		value  int64
		amount string
	}{
		"steps=7":             {Steps, 7, "7"},
		"panels = 123456":     {Panels, 123_456, "123,456"},
		"time=10":             {Time, 10_000, "10 s"},
		"time=1.5s":           {Time, 1_500, "1.5 s"},
		"time=250ms":          {Time, 250, "250 ms"},
		"time=2 min":          {Time, 120_000, "120 s"},
		"memory=1GB":          {Memory, 1 << 30, "1 GB"},
		"memory=300 mb":       {Memory, 300 << 20, "300 MB"},
		"memory=1.5GB":        {Memory, 3 << 29, "1536 MB"},
		"output=64KB":         {Output, 64 << 10, "64 KB"},
		"edges=1000000000":    {Edges, 1e9, "1,000,000,000"},
		"nesting=900":         {Nesting, 900, "900"},
		"digits=2":            {Digits, 2, "2"},
		"text=1000":           {Text, 1_000, "1,000"},
		"steps=1000000000000": {Steps, 1e12, "1,000,000,000,000"},
	} {
		s := Defaults()
		if err := s.Put(text); err != nil || s[want.l] != want.value || s.Amount(want.l) != want.amount {
			t.Errorf("%s: %v, %d, %q", text, err, s[want.l], s.Amount(want.l))
		}
	}
}

func TestPutRefuses(t *testing.T) {
	for text, want := range map[string]string{
		"panels":         `"panels" is not of the form name=value`,
		"":               "not of the form",
		"panel=5":        `no limit called "panel"; the limits are steps, time, memory`,
		"panels=many":    `panels = "many" is not a whole number`,
		"panels=1.5":     "not a whole number",
		"panels=5MB":     "not a whole number",
		"panels=0":       "panels = 0 is not between 1 and 1,000,000,000",
		"panels=-3":      "is not between",
		"panels=1e30":    "not a whole number",
		"panels=NaN":     "not a whole number",
		"panels=Inf":     "not a whole number",
		"time=5 weeks":   `time = "5 weeks" is not a time such as 10s or 2min`,
		"time=100000min": "is not between 1 ms and 86400 s",
		"memory=1":       "not a size such as 512MB or 1GB",
		"memory=100GB":   "is not between 1 KB and 64 GB",
		"nesting=901":    "is not between 1 and 900",
		"memory=":        "not a size",
	} {
		s := Defaults()
		if err := s.Put(text); err == nil || !strings.Contains(err.Error(), want) || s != Defaults() {
			t.Errorf("%s: %v", text, err)
		}
	}
}

// A carton is given the plain time, ten thousand panels three times that, and
// more panels no more; by the clock it is eight times as much.
func TestTimeGrowsWithPanels(t *testing.T) {
	s := Defaults()
	for panels, want := range map[int]time.Duration{-1: 2000, 0: 2000, 10: 2004, 5_000: 4000, 10_000: 6000, 20_000: 6000, 1e9: 6000} {
		if got := s.TimeFor(panels); got != want*time.Millisecond || s.ClockFor(panels) != 8*got {
			t.Errorf("%d panels: %v", panels, got)
		}
	}
	if err := s.Put("time=1440min"); err != nil || s.TimeFor(1e9) != 72*time.Hour {
		t.Errorf("the most: %v, %v", s.TimeFor(1e9), err)
	}
}
