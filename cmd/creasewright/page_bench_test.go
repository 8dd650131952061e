//go:build unix

package main

import (
	"bufio"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
)

// BenchmarkWatchedSave measures how long after a save of the tea carton its watch says that
// its files are written: without a page, with a page that nobody looks at, and with one that
// a client follows and whose data it fetches. The three watches are saved in turn, so that
// what else the machine does falls on all alike. It gives the time in the middle and the
// quickest in ten, and the processor time of the watch and its runs by the save, in ms.
func BenchmarkWatchedSave(b *testing.B) {
	text, err := os.ReadFile(filepath.Join("..", "..", "scripts", "tea-carton.star"))
	if err != nil {
		b.Fatal(err)
	}
	ways := []string{"off", "closed", "open"}
	watches := map[string]*watchedSave{}
	for _, way := range ways {
		w := &watchedSave{script: filepath.Join(b.TempDir(), "tea-carton.star"), text: string(text)}
		w.start(b, way)
		watches[way] = w
	}
	times := map[string][]time.Duration{}
	for i := range b.N {
		for k := range ways {
			way := ways[(i+k)%len(ways)]
			time.Sleep(60 * time.Millisecond) // nobody saves faster by hand
			times[way] = append(times[way], watches[way].save(b, 71+i%20))
		}
	}
	b.ReportMetric(0, "ns/op")
	for _, way := range ways {
		slices.Sort(times[way])
		n := len(times[way])
		b.ReportMetric(ms(times[way][n/2]), "ms-"+way)
		b.ReportMetric(ms(times[way][n/10]), "ms-tenth-"+way)
		b.ReportMetric(ms(watches[way].end(b))/float64(n+1), "cpu-ms-"+way)
	}
}

func ms(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 }

// watchedSave is a watch in a process of its own.
type watchedSave struct {
	script, text string
	cmd          *exec.Cmd
	lines        *bufio.Scanner
}

// end ends the watch and gives the processor time that it took with all of its runs.
func (w *watchedSave) end(b *testing.B) time.Duration {
	b.Helper()
	if err := w.cmd.Process.Signal(os.Interrupt); err != nil {
		b.Fatal(err)
	}
	if err := w.cmd.Wait(); err != nil {
		b.Fatal(err)
	}
	return w.cmd.ProcessState.UserTime() + w.cmd.ProcessState.SystemTime()
}

// start starts the watch and waits for its first run.
func (w *watchedSave) start(b *testing.B, way string) {
	b.Helper()
	w.write(b, 70)
	args := []string{"watch", w.script}
	if way == "off" {
		args = append(args, "--page=off")
	}
	cmd, _, _ := program(b, args...)
	cmd.Stderr, w.cmd = nil, cmd
	talk, err := cmd.StderrPipe()
	if err != nil {
		b.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() {
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
	})
	w.lines = bufio.NewScanner(talk)
	if way == "open" {
		url := regexp.MustCompile(`http:\S+`).FindString(w.until(b, "the page is "))
		res, err := http.Get(url + "events")
		if err != nil {
			b.Fatal(err)
		}
		b.Cleanup(func() { res.Body.Close() })
		go look(url, res.Body)
	}
	w.until(b, "files in ")
}

// look fetches the data of every state, as a page does.
func look(url string, events io.Reader) {
	digest := regexp.MustCompile(`"digest":"(\w+)"`)
	lines := bufio.NewScanner(events)
	for lines.Scan() {
		for _, found := range digest.FindAllStringSubmatch(lines.Text(), -1) {
			if res, err := http.Get(url + "data/" + found[1]); err == nil {
				_, _ = io.Copy(io.Discard, res.Body)
				res.Body.Close()
			}
		}
	}
}

func (w *watchedSave) write(b *testing.B, width int) {
	b.Helper()
	edited := strings.Replace(w.text, `"width", 70`, fmt.Sprintf(`"width", %d`, width), 1)
	if err := os.WriteFile(w.script, []byte(edited), 0o644); err != nil {
		b.Fatal(err)
	}
}

// save saves another width and waits until the run is told.
func (w *watchedSave) save(b *testing.B, width int) time.Duration {
	b.Helper()
	w.write(b, width)
	saved := time.Now()
	w.until(b, "; wrote ")
	return time.Since(saved)
}

// until reads lines up to one that holds some words.
func (w *watchedSave) until(b *testing.B, words string) string {
	b.Helper()
	for w.lines.Scan() {
		if strings.Contains(w.lines.Text(), words) {
			return w.lines.Text()
		}
	}
	b.Fatalf("nothing said of %q", words)
	return ""
}
