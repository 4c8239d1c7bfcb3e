package charge

import (
	"fmt"
	"strings"

	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

// finding shows the value and the limit of one finding.
func (e *explainer) finding(i int, f *spec.Finding) {
	facts, pack := e.judgedPack(f.At)
	e.Finding(fmt.Sprintf("/findings/%d", i), f, facts, pack)
}

// judgedPack is the pack that a finding speaks of, by what it points at, and the
// path to it.
func (e *explainer) judgedPack(at []string) (*rule.Facts, string) {
	facts := *e.w.facts
	for i := range e.w.boardPacks() {
		to := fmt.Sprintf("/surroundings/parallel_board/%d/", i)
		if len(at) > 0 && strings.HasPrefix(at[0], to) {
			p := &e.w.boardPacks()[i]
			return &rule.Facts{Pack: p, AsOf: facts.AsOf, Chemistries: facts.Chemistries, Chemistry: facts.Chemistries.Get(p.Chemistry)}, strings.ReplaceAll(to[1:], "/", ".")
		}
	}
	return &facts, "pack."
}
