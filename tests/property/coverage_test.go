package property

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"github.com/wattkeel/wattkeel/service/charge"
	"github.com/wattkeel/wattkeel/service/spec"
)

// The generators reach what the properties speak of: every kind of phase, every
// verdict, and settings often enough.
func TestGeneratorsReachEveryPhaseAndVerdict(t *testing.T) {
	t.Parallel()
	pl, v := planner(), spec.NewValidator()
	seen := map[string]int{}
	all := 0
	rapid.Check(t, func(t *rapid.T) {
		for range 10 {
			q := drawRequest(t)
			if len(v.Validate(q)) > 0 {
				continue
			}
			all++
			p := pl.Plan(q)
			seen[string(p.Verdict)]++
			for _, x := range p.Phases {
				seen[string(x.Kind)]++
			}
		}
	})
	t.Log(all, seen)
	for _, k := range append(charge.Recovery.Enum(), spec.VerdictClear.Enum()...) {
		assert.Positive(t, seen[k], k)
	}
	assert.Greater(t, float64(seen["clear"]+seen["caution"]), 0.2*float64(all))
}
