package sim

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/spec"
)

func drawCurve(c spec.Chemistry) *cell.Curve { return cell.NewTable().Get(c).Curve }

// drawPack is a 3-cell 2.2 Ah pack of invented resistances, full.
func drawPack() Draw {
	return Draw{
		Curve: drawCurve(spec.LiPo), PolarS: 131,
		Groups:  []DrawGroup{{Count: 3, Coulomb: 7920, Charge: 1, Ohm: 0.006, PolarOhm: 0.015}},
		Lump:    cell.Thermal{HeatCapacityJK: 190, ConductanceWK: 0.11, AmbientDegC: 20, StartDegC: 20},
		CutoffV: 3.0, Reserve: 0.2, LimitDegC: math.Inf(1),
	}
}

func unlikeGroups() []DrawGroup {
	return []DrawGroup{
		{Count: 1, Coulomb: 7920, Charge: 0.97, Ohm: 0.006, PolarOhm: 0.015},
		{Count: 1, Coulomb: 7920, Charge: 0.93, Ohm: 0.007, PolarOhm: 0.018},
		{Count: 2, Coulomb: 7500, Charge: 0.95, Ohm: 0.011, PolarOhm: 0.025},
	}
}

// drawCases are runs of every kind.
func drawCases() map[string]Draw {
	with := func(change func(*Draw)) Draw {
		d := drawPack()
		change(&d)
		return d
	}
	return map[string]Draw{
		"current":                 with(func(d *Draw) { d.AmpA = 11 }),
		"current to the cut-off":  with(func(d *Draw) { d.AmpA, d.Reserve = 22, 0 }),
		"current, light":          with(func(d *Draw) { d.AmpA, d.Reserve = 0.9, 0.05 }),
		"current, unlike":         with(func(d *Draw) { d.AmpA, d.Reserve, d.Groups = 11, 0, unlikeGroups() }),
		"current to the heat":     with(func(d *Draw) { d.AmpA, d.LimitDegC = 22, 45 }),
		"current, hot start":      with(func(d *Draw) { d.AmpA, d.Lump.StartDegC = 4, 60 }),
		"current, flat":           with(func(d *Draw) { d.AmpA, d.Curve, d.FlatV, d.CutoffV = 5, nil, 1.2, 1.0 }),
		"power":                   with(func(d *Draw) { d.Kind, d.PowerW = LoadPower, 110 }),
		"power to the cut-off":    with(func(d *Draw) { d.Kind, d.PowerW, d.Reserve = LoadPower, 220, 0 }),
		"power, light":            with(func(d *Draw) { d.Kind, d.PowerW, d.Reserve = LoadPower, 5, 0 }),
		"power, unlike":           with(func(d *Draw) { d.Kind, d.PowerW, d.Reserve, d.Groups = LoadPower, 150, 0, unlikeGroups() }),
		"power to the heat":       with(func(d *Draw) { d.Kind, d.PowerW, d.LimitDegC = LoadPower, 220, 40 }),
		"power, flat":             with(func(d *Draw) { d.Kind, d.PowerW, d.Curve, d.FlatV, d.CutoffV = LoadPower, 15, nil, 1.2, 1.0 }),
		"resistor":                with(func(d *Draw) { d.Kind, d.Ohm = LoadResistance, 1.1 }),
		"resistor to the cut-off": with(func(d *Draw) { d.Kind, d.Ohm, d.Reserve = LoadResistance, 0.45, 0 }),
		"resistor, unlike":        with(func(d *Draw) { d.Kind, d.Ohm, d.Reserve, d.Groups = LoadResistance, 0.6, 0, unlikeGroups() }),
		"resistor, iron phosphate": with(func(d *Draw) {
			d.Kind, d.Ohm, d.Reserve, d.Curve, d.CutoffV = LoadResistance, 0.6, 0, drawCurve(spec.LiFePO4), 2.5
		}),
		"power, iron phosphate": with(func(d *Draw) {
			d.Kind, d.PowerW, d.Reserve, d.Curve, d.CutoffV = LoadPower, 90, 0, drawCurve(spec.LiFePO4), 2.5
		}),
		"cycle": with(func(d *Draw) {
			d.Kind, d.Segments = LoadCycle, []LoadSegment{{4, 30, 0}, {6, 5, 0}}
		}),
		"cycle with a pause, to the cut-off": with(func(d *Draw) {
			d.Kind, d.Segments, d.Reserve = LoadCycle, []LoadSegment{{4, 33, 0}, {6, 0, 0}}, 0
		}),
		"cycle, unlike": with(func(d *Draw) {
			d.Kind, d.Segments, d.Groups, d.Reserve = LoadCycle, []LoadSegment{{20, 22, 0}, {60, 1, 0}, {5, 9, 0}}, unlikeGroups(), 0
		}),
		"cycle to the heat": with(func(d *Draw) {
			d.Kind, d.Segments, d.LimitDegC = LoadCycle, []LoadSegment{{20, 30, 0}, {60, 0, 0}}, 35
		}),
		"cycle, long": with(func(d *Draw) {
			d.Kind, d.Segments, d.Reserve = LoadCycle, []LoadSegment{{300, 12, 0}, {400, 0.5, 0}}, 0
		}),
		"cycle of powers": with(func(d *Draw) {
			d.Kind, d.Segments, d.Reserve = LoadCycle, []LoadSegment{{5, 0, 250}, {10, 0, 30}, {5, 0, 0}, {3, 8, 0}}, 0
		}),
		"cycle of powers, unlike": with(func(d *Draw) {
			d.Kind, d.Segments, d.Groups = LoadCycle, []LoadSegment{{40, 0, 200}, {100, 0, 10}}, unlikeGroups()
		}),
	}
}

// The slow twin steps by 0.02 s, over the kinks of the curve too; there its error for each
// is of the order of step squared, below 1e-6 of the run.
func TestDrawAgreesWithTwin(t *testing.T) {
	for name, d := range drawCases() {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			got := Discharge(&d)
			dt := 0.02
			if got.Seconds > 2000 {
				dt = 0.2
			}
			want := drawTwin{d: &d}.run(dt)
			require.Equal(t, want.Stop, got.Stop)
			near := func(what string, a, b float64) {
				assert.InEpsilon(t, a, b, 1e-6, "%s: twin %v, kernel %v", what, a, b)
			}
			near("seconds", want.Seconds, got.Seconds)
			near("coulombs", want.Coulombs, got.Coulombs)
			near("stored", want.StoredJ, got.StoredJ)
			near("heat", want.HeatJ, got.HeatJ)
			near("peak current", want.PeakA, got.PeakA)
			near("lowest pack", want.LowestPackV, got.LowestPackV)
			near("lowest cell", want.LowestCellV, got.LowestCellV)
			near("end temperature", want.EndDegC, got.EndDegC)
			near("peak temperature", want.PeakDegC, got.PeakDegC)
			assert.Equal(t, want.Cycles, got.Cycles)
		})
	}
}

func BenchmarkDischarge(b *testing.B) {
	for _, name := range []string{"current", "power", "resistor", "cycle", "cycle of powers", "power, light", "power, unlike"} {
		d := drawCases()[name]
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for range b.N {
				Discharge(&d)
			}
		})
	}
}
