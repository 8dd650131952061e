// Command test runs go test with the arguments it is given. It prints what go
// test prints, and at the end which tests were skipped and why.
//
//	go run .ci/test.go ./...
package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log"
	"os"
	"os/exec"
	"strings"
)

// module begins the path of every package.
const module = "github.com/creasewright/creasewright/"

// event is a line of go test -json.
type event struct {
	Action, Package, Test, Output string
}

// skipped are the tests with one reason, in the order they ended.
type skipped struct {
	reason string
	tests  []string
}

func main() {
	log.SetFlags(0)
	cmd := exec.Command("go", append([]string{"test", "-json"}, os.Args[1:]...)...)
	cmd.Stderr = os.Stderr
	out, err := cmd.StdoutPipe()
	if err != nil {
		log.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		log.Fatal(err)
	}
	skips, err := follow(json.NewDecoder(out))
	if err != nil {
		log.Fatal(err)
	}
	failure := cmd.Wait()
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

// follow prints the lines about packages as they come, and those of a test when
// it has failed.
func follow(events *json.Decoder) (skips []*skipped, err error) {
	said := map[string][]string{} // by test
	for {
		var e event
		if err := events.Decode(&e); errors.Is(err, io.EOF) {
			return skips, nil
		} else if err != nil {
			return skips, err
		}
		id := strings.TrimPrefix(e.Package, module) + " " + e.Test
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
