package sim

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/spec"
)

// On a straight curve of 1 V, two cells 4 % of charge apart stay 40 mV apart:
// with the sum held, the one ends 20 mV above its end voltage and the other 20
// below, less what the taper leaves over the resistance (arithmetic).
func TestSumHeldByArithmetic(t *testing.T) {
	curve := cell.NewCurve([]cell.Sample{{Charge: 0, Volt: 3.2}, {Charge: 1, Volt: 4.2}})
	g := []Group{{1, 7200, 0.30, 0.02}, {1, 7200, 0.34, 0.02}}
	assert.InDelta(t, 4.1+0.020-0.2*0.02, SumHeld(curve, g, 4.1, 0.2), 1e-9)
	// Past full the curve goes on at its own slope.
	assert.InDelta(t, 4.2+0.020-0.2*0.02, SumHeld(curve, g, 4.2, 0.2), 1e-9)
}

// Where the cells are alike, holding the sum is holding each.
func TestSumHeldOfEqualCellsIsTheirEnd(t *testing.T) {
	curve := curveOf(t, spec.LiPo)
	p := lipoProgram()
	c := Run(curve, alike(3, 2.2, 0.2, 0.02), p, nil)
	end := c.EndOf(&c.Pieces[len(c.Pieces)-1])
	assert.InDelta(t, end.HighestV-p.TaperA*0.02, SumHeld(curve, alike(3, 2.2, 0.2, 0.02), p.EndV, p.TaperA), 1e-9)
}
