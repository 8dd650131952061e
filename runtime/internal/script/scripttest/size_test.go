package scripttest

import (
	"slices"
	"testing"
)

// Sizes are what stands for a length, alone or worked out; names, texts,
// counts, angles and shapes are none.
func TestSizes(t *testing.T) {
	text := `width = param("width", 60, min = 20)
play = width / 20 + 1
words = "a" + "b"
front = panel("front", rect(width, (40), round = 3).shift(play, 0), fold = 60)
for i in range(3):
    flap("dust " + str(i), on = front.top, depth = 12 - i, inset = (1.5, 0.5), taper = 15)
contents("soap", (50, 30, 20), on = front)
roof = regular(6, 25)
`
	found, err := Sizes("box.star", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, s := range found {
		got = append(got, text[s.From:s.To])
	}
	want := []string{"60", "width / 20 + 1", "width", "40", "3", "play", "0", "12 - i", "1.5", "0.5", "50", "30", "20", "25"}
	slices.Sort(got)
	slices.Sort(want)
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	if _, err := Sizes("broken.star", []byte("width = (")); err == nil {
		t.Error("a script that does not parse has sizes")
	}
}
