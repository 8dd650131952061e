package main

import (
	"bytes"
	"context"
	"encoding/base64"
	"encoding/xml"
	"fmt"
	"slices"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/live"
	"github.com/creasewright/creasewright/runtime/worker"
)

// Sizes of the sheet of all parts in mm. Pictures stand on it in their own size, so
// that the scales in them hold.
const (
	partColumns = 3
	partHeader  = 26.0 // room for a part's name above its picture
	partMargin  = 10.0 // left of it
	partBriefs  = 90   // characters of what a part is for
)

// picture draws the trial of every module on one sheet. A module that has none, or
// whose trial has no picture, is left out and told of.
func (c *console) picture(ctx context.Context, flags *scriptFlags, all []shelved, path string) error {
	limits, err := flags.bounds()
	if err != nil {
		return err
	}
	run, end := c.sandbox("", limits, worker.Batch)
	defer end()
	var drawn []pictured
	worst := engine.Clean
	for i := range all {
		m := &all[i]
		if m.fault != nil || !m.hasTrial() {
			c.say(m.name + ": has no trial(), so there is no picture of it")
			continue
		}
		job := trialOf(m, flags)
		job.Build, c.paths = run, flags.paths()
		job.Formats = slices.DeleteFunc(engine.Formats(), func(f emit.Format) bool { return f.Kind != emit.KindPreview })
		res, err := job.Check(ctx)
		if ctx.Err() != nil {
			return interrupted("no picture was written")
		}
		if err != nil {
			return &exit{code: engine.Broken, err: err}
		}
		if res.Exit > engine.Faulty || len(res.Files) != 1 {
			c.findings(c.err, c.colourErr, job.Script, &res, res.Findings)
			c.say(m.name + ": its trial does not run, so there is no picture of it")
			worst = max(worst, res.Exit)
			continue
		}
		drawn = append(drawn, pictured{m.stem(), m.brief, res.Files[0].Bytes})
	}
	if len(drawn) == 0 {
		c.say("nothing to draw; " + path + " was not written")
		return ended(worst)
	}
	if err := live.Put(path, partSheet(drawn)); err != nil {
		return &exit{code: engine.Crashed, err: fmt.Errorf("cannot write %s: %w", path, cause(err))}
	}
	c.say(fmt.Sprintf("wrote %s: %s", path, count(len(drawn), "picture")))
	return ended(worst)
}

// pictured is a module with the picture of its trial, an SVG file.
type pictured struct {
	name, brief string
	picture     []byte
}

// partSheet sets parts in rows on one sheet. Pictures are whole files within it, so
// that their names and styles keep apart.
func partSheet(parts []pictured) []byte {
	wide, high := 0.0, 0.0 // of the largest picture
	for _, p := range parts {
		w, h := p.size()
		wide, high = max(wide, w), max(high, h)
	}
	high += partHeader
	columns := min(partColumns, len(parts))
	rows := (len(parts) + columns - 1) / columns
	var out bytes.Buffer
	w, h := float64(columns)*wide, float64(rows)*high
	fmt.Fprintf(&out, `<svg xmlns="http://www.w3.org/2000/svg" width="%gmm" height="%gmm" viewBox="0 0 %[1]g %[2]g" font-family="sans-serif">`+"\n", w, h)
	fmt.Fprintf(&out, `<rect width="%g" height="%g" fill="#fff"/>`+"\n", w, h)
	for i, p := range parts {
		x, y := float64(i%columns)*wide, float64(i/columns)*high
		brief := p.brief
		if letters := []rune(brief); len(letters) > partBriefs {
			brief = string(letters[:partBriefs-1]) + "…"
		}
		fmt.Fprintf(&out, `<text x="%g" y="%g" font-size="9" font-weight="bold">%s</text>`+"\n", x+partMargin, y+14, escapedXML(p.name))
		fmt.Fprintf(&out, `<text x="%g" y="%g" font-size="5.5">%s</text>`+"\n", x+partMargin, y+22, escapedXML(brief))
		w, h := p.size()
		fmt.Fprintf(&out, `<image x="%g" y="%g" width="%g" height="%g" href="data:image/svg+xml;base64,%s"/>`+"\n",
			x, y+partHeader, w, h, base64.StdEncoding.EncodeToString(p.picture))
	}
	out.WriteString("</svg>\n")
	return out.Bytes()
}

// size is that of the picture in mm, by its viewBox; that of an A4 sheet for one
// without.
func (p pictured) size() (w, h float64) {
	var root struct {
		ViewBox string `xml:"viewBox,attr"`
	}
	var x, y float64
	if err := xml.Unmarshal(p.picture, &root); err == nil {
		if n, _ := fmt.Sscan(root.ViewBox, &x, &y, &w, &h); n == 4 && w > 0 && h > 0 {
			return w, h
		}
	}
	return 297, 210
}

// escapedXML is a text for an XML file.
func escapedXML(text string) string {
	var out bytes.Buffer
	_ = xml.EscapeText(&out, []byte(text)) // a buffer takes everything
	return out.String()
}
