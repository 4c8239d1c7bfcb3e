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

// The slow twin steps by 0.1 or 0.5 s, over the kinks of the curve too; there its error for each
// is of the order of step squared, below 1e-6 of the run.
func TestDrawAgreesWithTwin(t *testing.T) {
	for name, d := range drawCases() {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			got := Discharge(&d)
			dt := 0.1
			if got.Seconds > 2000 {
				dt = 0.5
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
			assert.Equal(t, want.Segment, got.Segment)
			near("square", want.SquareA2S, got.SquareA2S)
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
		d.Brief = true
		b.Run(name+", brief", func(b *testing.B) {
			for range b.N {
				Discharge(&d)
			}
		})
	}
}

// A brief run ends as the whole one does, but that its steps do not mind the temperature.
func TestBriefDrawEndsAlike(t *testing.T) {
	for name, d := range drawCases() {
		want := Discharge(&d)
		d.Brief = true
		got := Discharge(&d)
		require.InEpsilon(t, want.Seconds, got.Seconds, 1e-10, name)
		require.InEpsilon(t, want.Coulombs, got.Coulombs, 1e-10, name)
		require.Equal(t, want.Stop, got.Stop, name)
		require.Equal(t, want.Cycles, got.Cycles, name)
		require.Equal(t, want.Segment, got.Segment, name)
	}
}

// A sample is where a run stops that is made to stop there.
func TestDrawSamples(t *testing.T) {
	for name, d := range drawCases() {
		end := Discharge(&d)
		times := []float64{0, 0, end.Seconds * 0.013, end.Seconds * 0.4, end.Seconds * 0.41, end.Seconds, end.Seconds * 2}
		out := make([]DrawState, len(times))
		SampleDraw(&d, times, out)
		require.Equal(t, out[0], out[1], name)
		require.InDelta(t, end.EndDegC, out[5].DegC, 1e-9, name)
		require.InDelta(t, out[5].PackV, out[6].PackV, 1e-9, name)
		for i, at := range times[:6] {
			twin := drawTwin{d: &d}
			require.GreaterOrEqual(t, out[i].PackV, end.LowestPackV*(1-1e-12), name)
			require.LessOrEqual(t, out[i].AmpA, end.PeakA*(1+1e-12), name)
			if i == 2 { // the twin, which need not go far
				y, amp := twin.at(at, 0.05)
				charge := 0.0
				count := 0.0
				for j, g := range d.Groups {
					charge += g.Count * y[2*j]
					count += g.Count
				}
				require.InEpsilon(t, charge/count, out[i].Charge, 1e-6, name)
				require.InDelta(t, amp, out[i].AmpA, 1e-6*(1+amp), name)
				require.InDelta(t, y[2*len(d.Groups)], out[i].DegC, 1e-5, name)
			}
		}
	}
}

func TestDrawEndsAtOnce(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*Draw)
		want   Stop
	}{
		"below the reserve":  {func(d *Draw) { d.AmpA, d.Groups[0].Charge = 5, 0.1 }, StopReserve},
		"too hot":            {func(d *Draw) { d.AmpA, d.LimitDegC = 5, 20 }, StopTemperature},
		"too much current":   {func(d *Draw) { d.AmpA = 500 }, StopCutoff},
		"too much power":     {func(d *Draw) { d.Kind, d.PowerW = LoadPower, 1e5 }, StopPower},
		"too much in cycle":  {func(d *Draw) { d.Kind, d.Segments = LoadCycle, []LoadSegment{{1, 0, 1e5}} }, StopPower},
		"past the cut-off":   {func(d *Draw) { d.Kind, d.PowerW = LoadPower, 2000 }, StopCutoff},
		"too low a resistor": {func(d *Draw) { d.Kind, d.Ohm = LoadResistance, 0.001 }, StopCutoff},
	} {
		d := drawPack()
		d.Groups = append([]DrawGroup{}, d.Groups...)
		c.change(&d)
		r := Discharge(&d)
		require.Equal(t, c.want, r.Stop, name)
		require.Zero(t, r.Seconds, name)
		require.Zero(t, r.HeatJ, name)
	}
}

// Power beyond what the pack can give ends the run where the power is greatest, whatever
// the cut-off: E²/4R.
func TestDrawEndsAtGreatestPower(t *testing.T) {
	d := drawPack()
	d.Kind, d.PowerW, d.CutoffV, d.Reserve = LoadPower, 1900, 0.1, 0
	r := Discharge(&d)
	require.Equal(t, StopPower, r.Stop)
	require.InEpsilon(t, math.Sqrt(d.PowerW/0.018), r.PeakA, 1e-3)
}

// A cycle that would take its segments 10¹¹ times is over at once.
func TestDrawLeaps(t *testing.T) {
	d := drawPack()
	d.Kind, d.Segments = LoadCycle, []LoadSegment{{0.01, 1e-3, 0}, {0.01, 0, 0}}
	d.Groups = []DrawGroup{{Count: 3, Coulomb: 3.6e6, Charge: 1, Ohm: 0.006, PolarOhm: 0.015}}
	r := Discharge(&d)
	require.Equal(t, StopReserve, r.Stop)
	require.InEpsilon(t, 0.8*3.6e6/0.5e-3, r.Seconds, 1e-9)
}
