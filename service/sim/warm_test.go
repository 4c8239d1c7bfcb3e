package sim

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/spec"
)

// Warm against small Euler steps of the same lump; 2e-4 K, because the twin's
// own error at a tenth of a second is of that order.
func TestWarmAgreesWithSmallSteps(t *testing.T) {
	for _, power := range []float64{math.Inf(1), 24} {
		p := lipoProgram()
		p.CurrentA, p.PowerW = 6, power
		c := Run(curveOf(t, spec.LiPo), alike(3, 2.2, 0.1, 0.05), p, nil)
		lump := cell.Thermal{HeatCapacityJK: 190, ConductanceWK: 0.12, AmbientDegC: 18, StartDegC: 21}
		w := Warm(&c, lump)
		const dt = 0.1
		temp, peak := lump.StartDegC, lump.StartDegC
		for s := 0.0; s < c.Seconds; s += dt {
			i := c.At(s+dt/2, nil).AmpA
			mid := temp + dt/2*(i*i*0.15-lump.ConductanceWK*(temp-lump.AmbientDegC))/lump.HeatCapacityJK
			temp += min(dt, c.Seconds-s) * (i*i*0.15 - lump.ConductanceWK*(mid-lump.AmbientDegC)) / lump.HeatCapacityJK
			peak = max(peak, temp)
		}
		t.Logf("peak %.6f twin %.6f, end %.6f twin %.6f", w.PeakDegC, peak, w.EndDegC, temp)
		assert.InDelta(t, peak, w.PeakDegC, 2e-4)
		assert.InDelta(t, temp, w.EndDegC, 2e-4)
		assert.Greater(t, w.PeakDegC, w.EndDegC)
	}
}

// 0.5 kg, 1000 J/(kg K), 20 mΩ, 50 A without cooling: 50 W and 0.1 K/s
// (arithmetic of the lumped heat balance; Bernardi, Pawlikowski, Newman,
// J. Electrochem. Soc. 132, 5 (1985), Joule part).
func TestWarmAdiabaticByArithmetic(t *testing.T) {
	lump := cell.Thermal{HeatCapacityJK: 500, ConductanceWK: 1e-12, AmbientDegC: 20, StartDegC: 20}
	c := Charge{Pieces: []Piece{{Kind: ConstantCurrent, Seconds: 60, HeatW0: 50, HeatW1: 50}}}
	assert.InDelta(t, 26, Warm(&c, lump).EndDegC, 1e-6)
}
