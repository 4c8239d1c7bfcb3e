package drain_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/drain"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

// winch is a small pack with an alarm on it and a meter on two of its cells.
func winch() *drain.Request {
	return &drain.Request{
		Pack: spec.Pack{
			Chemistry: spec.LiPo, CellsSeries: 3, CapacityMAh: 850, CellVoltagesV: []float64{3.82, 3.81, 3.83}, Condition: []spec.Condition{},
		},
		Drains:   []drain.Drain{{CurrentMA: 4}, {CurrentMA: 9, Cells: []int{1, 2}}},
		IdleDays: new(1.0),
	}
}

func TestDrainsTakeTheCellsTheyAreOn(t *testing.T) {
	a := drain.NewEstimator(cell.NewTable(), rule.All()).Estimate(winch())
	assert.Equal(t, []float64{13, 13, 4}, []float64{a.Cells[0].CurrentMA, a.Cells[1].CurrentMA, a.Cells[2].CurrentMA})
	assert.Equal(t, 2, a.FirstUnsafe.Cell, "the lower of the two that feed the meter")
	require.Len(t, a.Findings, 1)
	assert.Equal(t, "drain-unbalances-cells", a.Findings[0].Rule)
}

func TestADamagedPackStillGetsItsFigures(t *testing.T) {
	q := winch()
	q.Pack.Condition = []spec.Condition{spec.Swollen}
	a := drain.NewEstimator(cell.NewTable(), rule.All()).Estimate(q)
	assert.Equal(t, spec.VerdictStop, a.Verdict)
	assert.Positive(t, a.FirstUnsafe.ExpectedDays)
}

func BenchmarkEstimate(b *testing.B) {
	e, q := drain.NewEstimator(cell.NewTable(), rule.All()), winch()
	b.ReportAllocs()
	for b.Loop() {
		e.Estimate(q)
	}
}
