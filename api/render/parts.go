package render

import (
	"slices"

	"github.com/wattkeel/wattkeel/service/spec"
)

// What every answer has is written the same way.

// verdict begins the first paragraph of a page with the verdict, as a word.
func (p *page) verdict(v spec.Verdict) *page {
	switch v {
	case spec.VerdictStop:
		return p.s("STOP: ")
	case spec.VerdictCaution:
		return p.s("CAUTION: ")
	}
	return p.s("CLEAR: ")
}

// count writes how many there are of a severity, behind an article: "caution",
// "3 notes".
func (p *page) count(findings []spec.Finding, of spec.Severity) *page {
	n := 0
	for i := range findings {
		if findings[i].Severity == of {
			n++
		}
	}
	if n == 1 {
		return p.s(string(of))
	}
	return p.i(n).s(" ").s(string(of)).s("s")
}

// findings lists what was found, in the order of the answer, which is the worst
// first.
func (p *page) findings(heading string, list []spec.Finding) {
	if len(list) == 0 {
		return
	}
	p.heading(heading)
	for i := range list {
		f := &list[i]
		switch f.Severity {
		case spec.Stop:
			p.s("Stop: ")
		case spec.Caution:
			p.s("Caution: ")
		default:
			p.s("Note: ")
		}
		p.s(f.Message).stop()
		if f.Remedy != "" {
			p.s(" What to do: ").s(f.Remedy).stop()
		}
		p.s(" (Rule ").s(f.Rule).s(")")
		p.item()
	}
}

// assumed says what the request left out and what was taken in its place.
func (p *page) assumed(list []spec.Assumed) {
	if len(list) == 0 {
		return
	}
	p.heading("Assumed, because it was not given")
	for i := range list {
		if i > 0 {
			p.s("; ")
		}
		p.field(list[i].Field).s(" ").value(list[i].Field, list[i].Value)
	}
	p.stop().under()
}

// notEvaluated says how many rules could not be judged, and for want of what.
func (p *page) notEvaluated(list []spec.NotEvaluated) {
	if len(list) == 0 {
		return
	}
	p.heading("Not judged")
	if p.i(len(list)); len(list) == 1 {
		p.s(" rule, for want of: ")
	} else {
		p.s(" rules, for want of: ")
	}
	fields := make([]string, 0, 32)
	for i := range list {
		for _, f := range list[i].Missing {
			if slices.Contains(fields, f) {
				continue
			}
			if len(fields) > 0 {
				p.s("; ")
			}
			fields = append(fields, f)
			p.field(f)
		}
	}
	p.stop().under()
}

// list sets out sentences under a heading.
func (p *page) list(heading string, sentences []string) {
	if len(sentences) == 0 {
		return
	}
	p.heading(heading)
	for _, s := range sentences {
		p.s(s).item()
	}
}

// first parts the cautions of an answer: the first says that the manuals
// supersede it, and closes the page.
func first(cautions []string) (supersede string, others []string) {
	if len(cautions) == 0 {
		return "", nil
	}
	return cautions[0], cautions[1:]
}

// steps numbers what to do, in order.
func (p *page) steps(sentences []string) {
	if len(sentences) == 0 {
		return
	}
	p.heading("Step by step")
	for i, s := range sentences {
		p.s(s).step(i + 1)
	}
}

// end closes the page: the sentence that the manuals supersede the answer, and
// what the answer can be found again by.
func (p *page) end(supersede, id string, v *spec.Versions) []byte {
	if supersede != "" {
		p.s(supersede).para()
	}
	p.s("wattkeel ").s(v.Service).s(", rules ").s(v.Rules).s(", data ").s(v.Data).s(". The id of this answer:").para()
	p.s(id).under()
	return p.out
}
