package property

import (
	"math"
	"slices"
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/drain"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
	"github.com/wattkeel/wattkeel/tests/trace"
)

func drawDrain(t *rapid.T) *drain.Request {
	q := &drain.Request{Pack: drawPack(t), IdleDays: maybe(t, between(0, 2000), "idle")}
	for range rapid.IntRange(0, 3).Draw(t, "drains") {
		q.Drains = append(q.Drains, drawOneDrain(t, q.Pack.CellsSeries))
	}
	return q
}

func drawOneDrain(t *rapid.T, cells int) drain.Drain {
	d := drain.Drain{CurrentMA: rapid.OneOf(between(0, 100), rapid.SampledFrom([]float64{0, 2, 20})).Draw(t, "current")}
	if rapid.Bool().Draw(t, "some cells") {
		d.Cells = rapid.SliceOfNDistinct(rapid.IntRange(1, cells), 1, cells, rapid.ID).Draw(t, "cells")
	}
	return d
}

func estimator() *drain.Estimator { return drain.NewEstimator(cell.NewTable(), rule.All()) }

// times are all expected times of an estimate, cell by cell, each level in turn.
func times(a *drain.Estimate) []float64 {
	var out []float64
	for _, c := range a.Cells {
		for _, d := range []*drain.Days{c.Storage, c.SafeStart, &c.Empty, c.Floor} {
			if d != nil {
				out = append(out, d.ExpectedDays)
			}
		}
	}
	return out
}

// neverLonger says whether no time of b is longer than that of a, but for the ninth
// digit that answers are rounded to.
func neverLonger(t *rapid.T, a, b *drain.Estimate) {
	before, after := times(a), times(b)
	require.Len(t, after, len(before))
	for i := range before {
		assert.LessOrEqual(t, after[i], before[i]*(1+2e-9))
	}
}

// Whatever is left connected: times and ranges are in order, what is left is a
// state of charge, and a request with a verdict has its figures.
func TestStandingDrainsAreInOrder(t *testing.T) {
	t.Parallel()
	e, v := estimator(), spec.NewValidator()
	rapid.Check(t, func(t *rapid.T) {
		q := drawDrain(t)
		require.Empty(t, v.Validate(q))
		a := e.Estimate(q)
		_, err := json.Marshal(a)
		require.NoError(t, err)
		assert.Equal(t, spec.VerdictOf(a.Findings), a.Verdict)
		require.Len(t, a.Cells, q.Pack.CellsSeries)
		first := math.Inf(1)
		for _, c := range a.Cells {
			last := 0.0
			for _, d := range []*drain.Days{c.Storage, c.SafeStart, &c.Empty, c.Floor} {
				if d == nil {
					assert.Equal(t, spec.NiMH, q.Pack.Chemistry)
					continue
				}
				assert.LessOrEqual(t, d.LowDays, d.ExpectedDays)
				assert.LessOrEqual(t, d.ExpectedDays, d.HighDays)
				assert.GreaterOrEqual(t, d.ExpectedDays, last*(1-1e-9), "the levels are met one after the other")
				last = d.ExpectedDays
			}
			unsafe := &c.Empty
			if c.SafeStart != nil {
				unsafe = c.SafeStart
			}
			first = min(first, unsafe.ExpectedDays)
		}
		assert.Equal(t, first, a.FirstUnsafe.ExpectedDays)
		for i, z := range a.Left.CellChargesPercent {
			assert.True(t, z >= 0 && z <= 100)
			assert.LessOrEqual(t, z, a.Start.CellChargesPercent[i]*(1+2e-9))
		}
		assert.LessOrEqual(t, slices.Max(a.Left.CellChargesPercent)-slices.Min(a.Left.CellChargesPercent), 100.0)
	})
}

// Drains add up: two on the same cells are one of their sum, to the last digit
// that is shown.
func TestDrainsAddUp(t *testing.T) {
	t.Parallel()
	e := estimator()
	rapid.Check(t, func(t *rapid.T) {
		q := drawDrain(t)
		d := drawOneDrain(t, q.Pack.CellsSeries)
		other := between(0, 50).Draw(t, "other")
		two, one := *q, *q
		two.Drains = append(slices.Clone(q.Drains), d, drain.Drain{CurrentMA: other, Cells: d.Cells})
		one.Drains = append(slices.Clone(q.Drains), drain.Drain{CurrentMA: d.CurrentMA + other, Cells: d.Cells})
		a, b := times(e.Estimate(&two)), times(e.Estimate(&one))
		for i := range a {
			assert.InEpsilon(t, 1+a[i], 1+b[i], 1e-8)
		}
	})
}

// One more drain, a lower start or a smaller pack never keeps longer.
func TestAWorsePackNeverKeepsLonger(t *testing.T) {
	t.Parallel()
	e := estimator()
	rapid.Check(t, func(t *rapid.T) {
		q := drawDrain(t)
		a := e.Estimate(q)

		more := *q
		more.Drains = append(slices.Clone(q.Drains), drawOneDrain(t, q.Pack.CellsSeries))
		neverLonger(t, a, e.Estimate(&more))

		if q.Pack.ChargePercent != nil {
			lower := *q
			z := *q.Pack.ChargePercent * between(0, 1).Draw(t, "share")
			lower.Pack.ChargePercent = &z
			neverLonger(t, a, e.Estimate(&lower))
		}
		if len(q.Drains) > 0 {
			smaller := *q
			held := q.Pack.CapacityMAh
			if q.Pack.MeasuredCapacityMAh != nil {
				held = *q.Pack.MeasuredCapacityMAh
			}
			held = max(held*between(0.5, 1).Draw(t, "worn"), 1)
			exact := *q
			exact.Pack.MeasuredCapacityMAh = q.Pack.MeasuredCapacityMAh
			smaller.Pack.MeasuredCapacityMAh = &held
			neverLonger(t, e.Estimate(&exact), e.Estimate(&smaller))
		}
	})
}

// Each number of an estimate has its place in the trace, and the rest of the answer
// is that without one.
func TestEveryNumberOfAStandingDrainHasItsTrace(t *testing.T) {
	t.Parallel()
	e := estimator()
	rapid.Check(t, func(t *rapid.T) {
		q := drawDrain(t)
		body, err := json.Marshal(q)
		require.NoError(t, err)
		a := e.Explain(q)
		if wrong := trace.Complaints(string(body), a, a.Trace, true); len(wrong) > 0 {
			t.Fatalf("%s\n%q", body, wrong)
		}
		a.Trace = nil
		assert.Equal(t, e.Estimate(q), a)
	})
}
