package reference_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/charge"
	"github.com/wattkeel/wattkeel/service/sim"
	"github.com/wattkeel/wattkeel/service/spec"
)

// A charge of the published cobalt-oxide curve, linearly interpolated between
// its tenths, from 10 % at 1 C to 4.2 V: checks 3a and 3b. The published
// arithmetic: constant current ends where U(z) = 4.2 V − r, then the current
// decays with τ = r/k.
func tenthsCharge(ohm float64) []row {
	table := make([]cell.Sample, 11)
	for i, v := range tenths()[spec.LiPo] {
		table[i] = cell.Sample{Charge: float64(i) / 10, Volt: v}
	}
	run := func(taper float64) (c sim.Charge, end float64) {
		c = sim.Run(cell.NewCurve(table), []sim.Group{{Count: 1, Coulomb: 3600, Charge: 0.1, Ohm: ohm}},
			sim.Program{CurrentA: 1, PowerW: math.Inf(1), EndV: 4.2, TaperA: taper}, nil)
		return c, 0.1 + c.Coulombs/3600
	}
	tenth, tenthEnd := run(0.1)
	twentieth, twentiethEnd := run(0.05)
	cc := tenth.Pieces[0]
	from := source{"constant-current, constant-voltage arithmetic on column A (Ai et al. 2020)", computed}
	minute := tol{rel: 0.0002, why: "closed forms on both sides; the expected values are printed to 0.01 min"}
	charged := tol{abs: 0.00006, why: "closed forms on both sides; the expected values are printed to 4 decimals"}
	// The last piece: from 0.1 C to 0.05 C the current halves once.
	half := (twentieth.Seconds - tenth.Seconds) / 60 / math.Ln2
	return []row{
		num("3a", "minutes of constant current", 52.39, cc.Seconds/60, minute, from),
		num("3a", "charge where constant current ends", 0.9732, 0.1+cc.Coulombs/3600, charged, from),
		num("3a", "minutes to 0.1 C", 56.09, tenth.Seconds/60, minute, from),
		num("3a", "charge at 0.1 C", 0.9973, tenthEnd, charged, from),
		num("3a", "minutes to 0.05 C", 57.21, twentieth.Seconds/60, minute, from),
		num("3a", "charge at 0.05 C", 0.9987, twentiethEnd, charged, from),
		num("3b", "time constant of the decay, minutes", 1.607, half, tol{rel: 0.0005, why: "r/k; the expected value is printed to 0.001 min"}, from),
	}
}

func TestConstantCurrentConstantVoltage(t *testing.T) {
	checkTable(t, "the published charge of the cobalt-oxide curve, 30 mV a 1 C", tenthsCharge(0.030))
	mustFail(t, "31 mV a 1 C", 7, tenthsCharge(0.031))
}

// ratingRows are checks 3c and 3f through the planner.
func ratingRows(t *testing.T, watts, capacity float64) []row {
	t.Helper()
	charger := fmt.Sprintf(`{"chemistries": ["lipo"], "cells_series_min": 1, "cells_series_max": 6, "max_charge_current_a": 20,
	  "charge_current_step_a": 0.01, "max_charge_power_w": %g, "balance": "with_main_lead"}`, watts)
	six := settled(t, fmt.Sprintf(`"chemistry": "lipo", "cells_series": 6, "capacity_mah": %g, "max_charge_c_rate": 2, "charge_percent": 20`, capacity), charger, `, "goal": {"current_a": 10}`)
	two := settled(t, fmt.Sprintf(`"chemistry": "lipo", "cells_series": 1, "capacity_mah": %g, "max_charge_c_rate": 2, "charge_percent": 20`, capacity), bench, `, "goal": {"pace": "quick"}, "taper_c_rate": 0.05`)
	power := source{"P = n·V·I: 200 W over 6 × 4.2 V", computed}
	rate := source{"10 CFR 430 subpart B app. Y 2.10, C-rate", read}
	final := source{"a cell maker's sheet: 125 mA cut-off for 2500 mAh, C/20", read}
	return []row{
		num("3c", "6S, 10 A asked for, 200 W: the power's limit in A", 7.94, limit(six, charge.LimitChargerPower), tol{abs: 0.01, why: "as published beside the value"}, power),
		num("3c", "the current set, in steps of 0.01 A", 7.93, six.Settings.CurrentA, tol{abs: 1e-9, why: "7.9365 A down to the step: exact"}, power),
		num("3f", "5000 mAh at 2 C, A", 10, two.Settings.CurrentA, exactly(), rate),
		num("3f", "its C/20, A", 0.25, *two.Settings.TaperCurrentA, exactly(), final),
		num("3f", "the current at which it ends, A", 0.25, two.Phases[len(two.Phases)-1].EndCurrentA, exactly(), final),
	}
}

func TestRatings(t *testing.T) {
	checkTable(t, "power and rates", ratingRows(t, 200, 5000))
	mustFail(t, "a charger of 199 W", 2, ratingRows(t, 199, 5000))
	mustFail(t, "a pack of 5050 mAh", 3, ratingRows(t, 200, 5050))
}

// A fixed 10 A charger of 200 W cannot be set to 7.94 A: the power holds it,
// and the published arithmetic gives the current it begins and ends with.
func TestPowerHoldsTheCharger(t *testing.T) {
	rows := func(watts float64) []row {
		charger := fmt.Sprintf(`{"chemistries": ["lipo"], "cells_series_min": 1, "cells_series_max": 6, "min_charge_current_a": 10, "max_charge_current_a": 10,
		  "max_charge_power_w": %g, "balance": "with_main_lead"}`, watts)
		p := settled(t, `"chemistry": "lipo", "cells_series": 6, "capacity_mah": 5000, "max_charge_c_rate": 2, "charge_percent": 20`, charger, "")
		var x charge.Phase
		for _, x = range p.Phases {
			if x.Kind == charge.PowerLimited {
				break
			}
		}
		from := source{"P = n·V·I at the pack's terminals", computed}
		product := tol{rel: 1e-8, why: "a product of two numbers of 9 digits"}
		return []row{
			word("3c'", "the phase's kind", "power_limited", string(x.Kind), from),
			num("3c'", "watts where it begins", 200, *x.StartVoltageV*x.StartCurrentA, product, from),
			num("3c'", "watts where it ends", 200, *x.EndVoltageV*x.EndCurrentA, product, from),
			num("3c'", "amperes where it meets 25.2 V", 200/25.2, x.EndCurrentA, exactly(), from),
		}
	}
	checkTable(t, "a charge held by power", rows(200))
	mustFail(t, "a charger of 199 W", 3, rows(199))
}

// balanceRows are checks 8b and 8d: dissipative balancing, t = ΔSOC·C/I, and
// cells in series.
func balanceRows(bleed float64) []row {
	curve := cell.NewTable().Get(spec.LiPo).Curve
	from := source{"dissipative balancing, t = ΔSOC·C/I", computed}
	high, low := sim.Group{Count: 1, Coulomb: 18000, Charge: 0.42, Ohm: 0.005}, sim.Group{Count: 1, Coulomb: 18000, Charge: 0.40, Ohm: 0.005}
	c := sim.Run(curve, []sim.Group{high, low},
		sim.Program{CurrentA: 5, PowerW: math.Inf(1), EndV: 4.2, TaperA: 0.5, BalanceA: bleed, ToleranceV: 0}, nil)
	without := sim.Run(curve, []sim.Group{high, low},
		sim.Program{CurrentA: 5, PowerW: math.Inf(1), EndV: 4.2, TaperA: 0.5}, nil)
	six := sim.Run(curve, []sim.Group{{Count: 6, Coulomb: 36000, Charge: 0.5, Ohm: 0.005 / 2}},
		sim.Program{CurrentA: 10, PowerW: math.Inf(1), EndV: 4.2, TaperA: 1}, nil)
	start := six.At(0, nil)
	series := source{"pack resistance is n·R/p", computed}
	return []row{
		num("8b", "2 % apart, 5 Ah, 200 mA: hours of balancing", 0.50, c.BalanceS/3600, exactly(), from),
		num("8b", "mAh led past the full cell", 100, c.BypassC/3.6, exactly(), from),
		num("8b", "volts apart at the end", 0, c.SpreadV, tol{abs: 1e-9, why: "rounding"}, from),
		num("8b", "without balancing, mAh left out", 100, without.LeftOutC/3.6, exactly(), from),
		num("8d", "6S2P of 5 mΩ: milliohms of the pack", 15, (start.PackV-6*curve.Voltage(0.5))/10*1000, tol{abs: 1e-6, why: "a difference of two voltages near 22.8 V, to 15 digits"}, series),
	}
}

func TestBalancingArithmetic(t *testing.T) {
	checkTable(t, "balancing and series resistance", balanceRows(0.2))
	mustFail(t, "a bleed of 201 mA", 1, balanceRows(0.201))
}

// taperRows: every lithium charge ends at the taper current that is set, from
// 10 % at 1 C.
func taperRows(t *testing.T, rate float64) []row {
	t.Helper()
	final := source{"cell makers' sheets: constant voltage until a final current of 0.02 to 0.05 C", read}
	var rows []row
	for _, chem := range []spec.Chemistry{spec.LiPo, spec.LiHV, spec.LiIon, spec.LiFePO4} {
		p := settled(t, fmt.Sprintf(`"chemistry": "%s", "cells_series": 1, "capacity_mah": 2000, "max_charge_c_rate": 1, "charge_percent": 10, "temperature_degc": 25`, chem),
			bench, fmt.Sprintf(`, "taper_c_rate": %g`, rate))
		last := p.Phases[len(p.Phases)-1]
		set := num("3g", string(chem)+", taper current set, A", 0.1, *p.Settings.TaperCurrentA, exactly(), final)
		end := num("3g", string(chem)+", current where the charge ends, A", 0.1, last.EndCurrentA, exactly(), final)
		rows = append(rows, set, end)
	}
	return rows
}

func TestChargesEndAtTheTaper(t *testing.T) {
	checkTable(t, "the end of a charge", taperRows(t, 0.05))
	mustFail(t, "a taper of 0.06 C", 7, taperRows(t, 0.06))
}
