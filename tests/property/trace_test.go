package property

import (
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/wattkeel/wattkeel/service/charge"
	"github.com/wattkeel/wattkeel/service/spec"
	"github.com/wattkeel/wattkeel/tests/trace"
)

// Whatever is asked, each number of the answer has its place in the trace, each
// step follows from the ones before it, and the rest of the answer is that without
// a trace. Steps that integrate or search are left to the examples of tests/trace.
func TestEveryNumberHasItsTrace(t *testing.T) {
	t.Parallel()
	pl, v := planner(), spec.NewValidator()
	rapid.Check(t, func(t *rapid.T) {
		q := rapid.Custom(func(t *rapid.T) *charge.Request {
			if rapid.Bool().Draw(t, "sane") {
				return drawSane(t)
			}
			return drawRequest(t)
		}).Draw(t, "request")
		if len(v.Validate(q)) > 0 {
			t.Skip("not a valid request")
		}
		q.CurvePoints = min(q.CurvePoints, 4)
		body, err := json.Marshal(q)
		require.NoError(t, err)
		p := pl.Explain(q)
		if wrong := trace.Complaints(string(body), p, p.Trace, true); len(wrong) > 0 {
			t.Fatalf("%s\n%q", body, wrong)
		}
		plain, err := json.Marshal(pl.Plan(q))
		require.NoError(t, err)
		p.Trace = nil
		traced, err := json.Marshal(p)
		require.NoError(t, err)
		require.Equal(t, string(plain), string(traced))
	})
}
