// Command test runs go test with the arguments it is given. It prints what go
// test prints, and at the end which tests were skipped and why.
//
//	go run .ci/test.go ./...
//	go run .ci/test.go -note FILE ./...
//	go run .ci/test.go -noted FILE
//
// With -note it notes the tests that were skipped, or said that they would do more with
// programs from outside. With -noted it runs those.
package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log"
	"os"
	"os/exec"
	"slices"
	"strings"
)

// module begins the path of every package.
const module = "github.com/creasewright/creasewright/"

// event is a line of go test -json.
type event struct {
	Action, Package, Test, Output string
}

// more is what a test says that would do more (outsidetest.More).
const more = "more with CREASEWRIGHT_READERS=1"

// skipped are the tests with one reason, in the order they ended.
type skipped struct {
	reason string
	tests  []string
}

func main() {
	log.SetFlags(0)
	args, note := os.Args[1:], ""
	if len(args) > 1 && args[0] == "-note" {
		note, args = args[1], args[2:]
	} else if len(args) > 1 && args[0] == "-noted" {
		var err error
		if args, err = noted(args[1]); err != nil {
			log.Fatal(err)
		}
	}
	cmd := exec.Command("go", append([]string{"test", "-json"}, args...)...)
	cmd.Stderr = os.Stderr
	out, err := cmd.StdoutPipe()
	if err != nil {
		log.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		log.Fatal(err)
	}
	skips, again, err := follow(json.NewDecoder(out))
	if err != nil {
		log.Fatal(err)
	}
	failure := cmd.Wait()
	if note != "" {
		if err := os.WriteFile(note, []byte(strings.Join(again, "\n")+"\n"), 0o644); err != nil {
			log.Fatal(err)
		}
	}
	n := 0
	for _, s := range skips {
		n += len(s.tests)
	}
	fmt.Printf("\n%d skipped\n", n)
	for _, s := range skips {
		fmt.Printf("  %s\n      %s\n", s.reason, strings.Join(s.tests, "\n      "))
	}
	if failure != nil {
		os.Exit(1)
	}
}

// noted are the arguments to run the tests that a file notes: their packages, and all their
// names for every one of these.
func noted(file string) ([]string, error) {
	text, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	var packages, names []string
	for line := range strings.Lines(string(text)) {
		if at, name, ok := strings.Cut(strings.TrimSpace(line), " "); ok {
			packages, names = append(packages, module+at), append(names, name)
		}
	}
	if len(names) == 0 {
		return nil, errors.New("no test is noted")
	}
	slices.Sort(packages)
	slices.Sort(names)
	run := "^(" + strings.Join(slices.Compact(names), "|") + ")$"
	return append([]string{"-run", run}, slices.Compact(packages)...), nil
}

// follow prints the lines about packages as they come, and those of a test when
// it has failed. It lists the tests that were skipped, or of which some part was, and those
// that would do more.
func follow(events *json.Decoder) (skips []*skipped, again []string, err error) {
	said := map[string][]string{} // by test
	for {
		var e event
		if err := events.Decode(&e); errors.Is(err, io.EOF) {
			return skips, again, nil
		} else if err != nil {
			return skips, again, err
		}
		at := strings.TrimPrefix(e.Package, module) + " "
		id := at + e.Test
		if whole, _, _ := strings.Cut(e.Test, "/"); whole != "" && !slices.Contains(again, at+whole) &&
			(e.Action == "skip" || strings.Contains(e.Output, more)) {
			again = append(again, at+whole)
		}
		switch {
		case strings.HasSuffix(e.Action, "output"): // of a package, a test, or the compiler
			if e.Test == "" && e.Output != "PASS\n" {
				fmt.Print(e.Output)
			} else {
				said[id] = append(said[id], e.Output)
			}
			continue
		case e.Test == "":
			continue
		case e.Action == "skip":
			skips = noteSkip(skips, reason(said[id]), id)
		case e.Action == "fail":
			fmt.Print(strings.Join(said[id], ""))
		}
		if e.Action != "run" && e.Action != "pause" && e.Action != "cont" {
			delete(said, id)
		}
	}
}

func noteSkip(skips []*skipped, reason, test string) []*skipped {
	for _, s := range skips {
		if s.reason == reason {
			s.tests = append(s.tests, test)
			return skips
		}
	}
	return append(skips, &skipped{reason, []string{test}})
}

// reason is what a skipped test said: the line behind its place in the source.
func reason(said []string) string {
	for _, line := range said {
		if _, why, ok := strings.Cut(line, ".go:"); ok {
			_, why, _ = strings.Cut(why, ": ")
			return strings.TrimSpace(why)
		}
	}
	return "no reason given"
}
