package storage

import (
	"math"

	"github.com/wattkeel/wattkeel/service/sim"
	"github.com/wattkeel/wattkeel/service/spec"
)

// The answer of a discharge is put together here, and here alone are its numbers
// rounded: the charge cut-off down, the stop voltage and the time limit up,
// everything else to nine significant digits.

// numbers holds the parts of a plan that has settings, so that they cost one
// allocation together.
type numbers struct {
	settings                Settings
	power, most             float64
	energy, stored, heat    float64
	loaded, rebound, undone float64
	duration                spec.Duration
	drivers                 [3]spec.Driver
	balancing               Balancing
}

func (w *work) assemble(down float64) {
	p, d, s, x := w.plan, &w.lowered, &w.span, &numbers{}
	w.stepAssumed()
	w.settings(x, down)
	p.Limits = w.limits.rounded()
	p.Phases = w.phases()
	w.duration(x)
	put(&p.EnergyWh, &x.energy, d.OutJ()/wattHour)
	put(&p.StoredWh, &x.stored, d.StoredJ/wattHour)
	put(&p.HeatWh, &x.heat, (d.HeatJ+d.BledJ)/wattHour)
	if down > 0 {
		n := float64(len(w.model.Groups))
		put(&p.LoadedStopVoltageV, &x.loaded, d.PackVoltage(down)/n)
		put(&p.ReboundV, &x.rebound, d.EndA*w.ohmSum()/n)
		put(&p.LeftUndoneMAh, &x.undone, s.undoneC/milliampHour)
	}
	x.balancing = Balancing{
		TimeMin: spec.Round9(d.BleedS / minute), BypassedMAh: spec.Round9(d.BledC / milliampHour),
		BypassedWh: spec.Round9(d.BledJ / wattHour), RemainingSpreadMV: spec.Round9(d.SpreadV * 1000),
	}
	p.Balancing = &x.balancing
	p.Curve = w.curve()
}

func (w *work) ohmSum() float64 {
	sum := 0.0
	for i := range w.model.Groups {
		sum += w.model.Groups[i].Ohm.Expected
	}
	return sum
}

func (w *work) settings(x *numbers, down float64) {
	c, l, s := w.q.Charger, &w.limits, &x.settings
	*s = Settings{
		Program: DischargeProgram, Chemistry: w.q.Pack.Chemistry, CellsSeries: w.q.Pack.CellsSeries,
		CurrentA: spec.Round9(l.current), CurrentCRate: spec.Round9(l.current / (w.q.Pack.CapacityMAh / 1000)),
		ChargeCutoffMAh: spec.Round9(roundDown(down/milliampHour, cutoffStepMAh)),
		TimeLimitMin:    roundUp(w.span.high/minute, timeStepMin),
	}
	if c.StorageProgram != nil && *c.StorageProgram {
		s.Program = StorageProgram
	}
	s.EndVoltagePerCellV = spec.Round9(w.endCellV(s.Program, down))
	s.EndVoltageV = spec.Round9(w.endCellV(s.Program, down) * float64(s.CellsSeries))
	if a, binds := l.byPower(); binds {
		put(&s.PowerW, &x.power, l.powerW)
		put(&s.MaxCurrentA, &x.most, l.current)
		s.CurrentA, s.CurrentCRate = spec.Round9(a), spec.Round9(a/(w.q.Pack.CapacityMAh/1000))
	}
	w.plan.Settings = s
}

// endCellV is the voltage to set: of a storage program the target, of a discharge
// program what a cell shows under load when enough has passed, in whole steps
// upward.
func (w *work) endCellV(p Program, down float64) float64 {
	if p == StorageProgram || down <= 0 {
		return w.chem.StorageV.Value
	}
	return math.Ceil(w.lowered.PackVoltage(down)/float64(len(w.model.Groups))/stopStepV-1e-9) * stopStepV
}

// roundUp rounds to the next whole step, and to one step at least.
func roundUp(x, step float64) float64 { return max(math.Ceil(x/step-1e-9), 1) * step }

// roundDown rounds to a whole step, or not at all where that would leave nothing.
func roundDown(x, step float64) float64 {
	if y := math.Floor(x/step+1e-9) * step; y > 0 {
		return y
	}
	return x
}

// phases merges the stretches of one kind.
func (w *work) phases() []Phase {
	d := &w.lowered
	out := make([]Phase, 0, 3)
	for i := 0; i < len(d.Pieces); {
		first, last := &d.Pieces[i], i
		seconds, coulombs := 0.0, 0.0
		for ; i < len(d.Pieces) && d.Pieces[i].Kind == first.Kind; i++ {
			seconds += d.Pieces[i].Seconds
			coulombs += d.Pieces[i].Coulombs
			last = i
		}
		from, to := d.StartOf(first), d.EndOf(&d.Pieces[last])
		out = append(out, Phase{
			Kind: phaseKind(first.Kind), DurationMin: spec.Round9(seconds / minute), ChargeMAh: spec.Round9(coulombs / milliampHour),
			StartCurrentA: spec.Round9(from.AmpA), EndCurrentA: spec.Round9(to.AmpA),
			StartVoltageV: spec.Round9(from.PackV), EndVoltageV: spec.Round9(to.PackV),
			StartChargePercent: spec.Round9(from.Charge * 100), EndChargePercent: spec.Round9(to.Charge * 100),
		})
	}
	return out
}

func phaseKind(k sim.LowerKind) PhaseKind {
	switch k {
	case sim.LowerPowerLimited:
		return PowerLimited
	case sim.LowerBleeding:
		return BalancingPhase
	}
	return ConstantCurrent
}

func (w *work) duration(x *numbers) {
	s, d := &w.span, &x.duration
	*d = spec.Duration{
		ExpectedMin: spec.Round9(s.expected / minute), LowMin: spec.Round9(s.low / minute), HighMin: spec.Round9(s.high / minute),
		Drivers: x.drivers[:0],
	}
	add := func(seconds float64, field, measure string) {
		if seconds > 0 {
			d.Drivers = append(d.Drivers, spec.Driver{Field: field, WidensMin: spec.Round9(seconds / minute), Measure: measure})
		}
	}
	if w.model.From == spec.FromAssumedAny {
		add(s.expected-s.low, "/pack/cell_voltages_v", "measure the rested cell voltages: without them the pack is taken as full")
	} else {
		add(s.byStart, "/pack/cell_voltages_v", "measure the cell voltages after an hour's rest, to the millivolt")
	}
	add(s.byCapacity, "/pack/measured_capacity_mah", "measure the capacity: charge, rest and discharge once on a charger that counts")
	resistance := "measure the cell resistances at the temperature of the discharge"
	if w.model.Measured {
		resistance = "measure the resistances with a 10 s load step (dc_10s), which says more than a 1 kHz reading"
	}
	add(s.byResist, "/pack/cell_resistances_mohm", resistance)
	spec.SortDrivers(d.Drivers)
	w.plan.Duration = d
}

// curve samples the exact solution evenly in time, both ends included.
func (w *work) curve() []Point {
	n := w.q.CurvePoints
	if n == 0 {
		return nil
	}
	out := make([]Point, n)
	for i := range out {
		t := sim.SampleTime(w.lowered.Seconds, i, n)
		s := w.lowered.At(t)
		out[i] = Point{
			TS: spec.Round9(t), CurrentA: spec.Round9(s.AmpA), PackVoltageV: spec.Round9(s.PackV),
			HighestCellV: spec.Round9(s.HighestV), LowestCellV: spec.Round9(s.LowestV), ChargePercent: spec.Round9(s.Charge * 100),
		}
	}
	return out
}
