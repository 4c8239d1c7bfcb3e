package runtime

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/sim"
	"github.com/wattkeel/wattkeel/service/spec"
)

// What is shared out where the reserve ends a run is near what runs with one cause alone tell. The
// time is proportional to capacity at given currents only, a power draws less of a fuller pack,
// and a cycle is in another segment at another time: hence the hundredths of the run, and
// a cycle of leeway.
func TestDriversAreNearRunsOfOneCauseAlone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := anyRun(t)
		w := worked(q)
		if w.run0.Stop != sim.StopReserve {
			t.Skip("worked out by runs")
		}
		leeway := 0.0
		for i := range w.draw.Segments {
			leeway += w.draw.Segments[i].Seconds
		}
		near := func(what string, by float64, c corner) {
			if r := w.at(c); r.Stop == sim.StopReserve {
				assert.InDelta(t, w.run0.Seconds-r.Seconds, by, 0.02*w.run0.Seconds+leeway, what)
			}
		}
		near("capacity", w.span.byCapacity, corner{coulomb: cell.Low})
		near("start", w.span.byStart, corner{charge: cell.Low})
	})
}

// A resistor at the end of its range: whatever the resistance of the pack, no run is longer,
// neither on the flat voltage of nimh, where the last digit says whether the cut-off is met,
// nor on a curve so steep at its end that the cut-off costs no charge.
func TestNoRunOfAResistorIsLongerThanItsLongEnd(t *testing.T) {
	z, ohm, cutoff := 54.15925961731875, 3.6*6/(0.3991822638064623*math.Exp(2.5)), 2.462640670145548
	steep := 3.2727272727272725
	for name, q := range map[string]*Request{
		"nimh": {
			Pack: spec.Pack{Chemistry: spec.NiMH, CellsSeries: 6, CapacityMAh: 399.1822638064623, ChargePercent: &z},
			Load: spec.Load{Kind: spec.ConstantResistance, ResistanceOhm: &ohm},
		},
		"liion to its end": {
			Pack:   spec.Pack{Chemistry: spec.LiIon, CellsSeries: 2, CapacityMAh: 2200},
			Load:   spec.Load{Kind: spec.ConstantResistance, ResistanceOhm: &steep},
			Cutoff: &Cutoff{CellVoltageV: &cutoff},
		},
	} {
		w := worked(q)
		least, most := w.model.OhmRange()
		longest := 0.0
		for i := range 101 {
			f := least * math.Pow(most/least, float64(i)/100)
			longest = max(longest, w.at(corner{cell.High, cell.High, f}).Seconds)
		}
		assert.LessOrEqual(t, longest, w.span.high*(1+1e-9), name)
		assert.Greater(t, longest, w.span.high*0.9, "and it is not far away", name)
	}
}
