package rule

import (
	"fmt"
	"slices"
	"strconv"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/spec"
)

// wearRules judge how worn, old or badly kept a pack is.
func wearRules() []Rule {
	return []Rule{resistanceOutlier(), resistanceEndOfLife(), capacityEndOfLife(), storedFull(), storedEmpty(), packAged()}
}

func median(list []float64) float64 {
	var room [32]float64 // as many as a pack has groups: no allocation on the way of every plan
	s := append(room[:0], list...)
	slices.Sort(s)
	n := len(s)
	if n%2 == 1 {
		return s[n/2]
	}
	return (s[n/2-1] + s[n/2]) / 2
}

func resistanceOutlier() Rule {
	return Rule{
		ID: "resistance-outlier", Family: PackAlone, Since: "0.1.0",
		Levels:    []Level{from(spec.Caution, 1.5, "ratio")},
		Title:     "One cell's resistance stands out",
		Rationale: "A cell with much more resistance than its neighbors is failing: it warms most, sags most and fills first.",
		Remedy:    "measure again with clean contacts at the same temperature; if it stays, charge gently, watch that cell and retire the pack soon",
		Source:    spec.Practice("a cell over one and a half times the median of its pack is suspect"),
		Value:     "$at / $middle(pack.cell_resistances_mohm)",
		Needs:     []Input{cellResistances()},
		Applies:   func(f *Facts) bool { return f.Pack.CellsSeries > 1 },
		Check: func(f *Facts, out *Out) {
			mid, of := median(f.Pack.CellResistancesMOhm), "the pack's median"
			if f.Pack.CellsSeries == 2 {
				// The mean of two would hide the worse: compare with the better.
				mid, of = min(f.Pack.CellResistancesMOhm[0], f.Pack.CellResistancesMOhm[1]), "the other cell's"
			}
			for i, r := range f.Pack.CellResistancesMOhm {
				if ratio := r / mid; ratio > out.Limit(0)+1e-9 {
					out.Hit(0, ratio, out.Limit(0), fmt.Sprintf("cell %d has %s milliohms, %s times %s %s", i+1, spec.Plain(r), spec.Beside(ratio, out.Limit(0)), of, spec.Short(mid)),
						"/pack/cell_resistances_mohm/"+strconv.Itoa(i))
				}
			}
		},
	}
}

func resistanceEndOfLife() Rule {
	return Rule{
		ID: "resistance-end-of-life", Family: PackAlone, Since: "0.1.0",
		Levels:    []Level{from(spec.Caution, wornRatio, "ratio")},
		Title:     "The resistance is that of a worn-out pack",
		Rationale: "At twice the resistance of a new pack it heats twice as much at the same current and can no longer give what its label prints.",
		Remedy:    "measure again at room temperature; if it stays, charge gently and retire the pack",
		Source:    spec.Practice("twice the resistance when new, or twice what the printed discharge rate implies, is the end of life"),
		Value:     "$worn",
		Needs:     []Input{cellResistances(), dischargeRate()},
		Check: func(f *Facts, out *Out) {
			if ratio := worn(f); beyond(ratio, out.Limit(0)) {
				out.Hit(0, ratio, out.Limit(0), fmt.Sprintf("the cells' median resistance is %s times what a new pack of this capacity and discharge rate has", spec.Beside(ratio, out.Limit(0))),
					"/pack/cell_resistances_mohm", "/pack/max_discharge_c_rate")
			}
		},
	}
}

// worn is the median resistance as a multiple of a new pack's.
func worn(f *Facts) float64 {
	ac := cell.ToAC1kHz(f.Pack.ResistanceMethod, median(f.Pack.CellResistancesMOhm)/1000)
	return ac / cell.NewReading(f.Chemistry, f.Pack)
}

// WornOut reports whether a rule about wear would call for gentle treatment:
// the charge plan limits the current of such a pack.
func WornOut(f *Facts) bool {
	p := f.Pack
	if p.MeasuredCapacityMAh != nil && *p.MeasuredCapacityMAh < wornCapacityPercent/100*p.CapacityMAh {
		return true
	}
	return len(p.CellResistancesMOhm) > 0 && p.MaxDischargeCRate != nil && beyond(worn(f), wornRatio)
}

// Where a pack counts as worn out: the limits of two rules, and of the charge
// plan's gentle treatment.
const (
	wornCapacityPercent = 80.0
	wornRatio           = 2.0
)

func capacityEndOfLife() Rule {
	return Rule{
		ID: "capacity-end-of-life", Family: PackAlone, Since: "0.1.0",
		Levels:    []Level{from(spec.Caution, wornCapacityPercent, "percent")},
		Title:     "The pack has lost more than a fifth of its capacity",
		Rationale: "Below 80 % a pack ages faster and fails more suddenly; what is left is no guide to how it will behave.",
		Remedy:    "charge gently, shorten its use, and retire it",
		Source:    spec.Practice("80 % of the rated capacity is the end of life"),
		Value:     "pack.measured_capacity_mah / pack.capacity_mah * 100",
		Needs:     []Input{packField("measured_capacity_mah", func(p *spec.Pack) bool { return p.MeasuredCapacityMAh != nil })},
		Check: func(f *Facts, out *Out) {
			if left := *f.Pack.MeasuredCapacityMAh / f.Pack.CapacityMAh * 100; left < out.Limit(0)-1e-9 {
				out.Hit(0, left, out.Limit(0), fmt.Sprintf("%s mAh was measured, %s %% of the rated %s mAh", spec.Plain(*f.Pack.MeasuredCapacityMAh), spec.Beside(left, out.Limit(0)), spec.Plain(f.Pack.CapacityMAh)), "/pack/measured_capacity_mah")
			}
		},
	}
}

// restedPercent is the state of charge the pack rests at: as given, or that of
// one of its cells on the open-circuit curve.
func restedPercent(f *Facts, cell func(*Facts) rested) float64 {
	if f.Pack.ChargePercent != nil {
		return *f.Pack.ChargePercent
	}
	return f.Chemistry.Curve.Charge(cell(f).v) * 100
}

// stored is a rule about leaving a pack for longer than a week in a state that
// harms it.
func stored(id, title, rationale, remedy string, harmful func(f *Facts) (percent float64, yes bool)) Rule {
	return Rule{
		ID: id, Family: PackAlone, Since: "0.1.0", Idle: true,
		Levels: []Level{from(spec.Caution, 7, "days")},
		Title:  title, Rationale: rationale, Remedy: remedy,
		Source:  spec.Practice("more than a week idle: storage charge"),
		Value:   "idle_days",
		Needs:   []Input{idleDays(), startOfCharge()},
		Applies: lithium,
		Check: func(f *Facts, out *Out) {
			if percent, yes := harmful(f); yes && *f.IdleDays > out.Limit(0) {
				out.Hit(0, *f.IdleDays, out.Limit(0), fmt.Sprintf("the pack rests at about %s %% and will be idle for %s days", spec.Short(max(percent, 0)), spec.Plain(*f.IdleDays)), "/idle_days")
			}
		},
	}
}

// Near full and nearly empty, in percent (common practice).
const (
	nearFull    = 90
	nearlyEmpty = 10
)

func storedFull() Rule {
	return stored("stored-full", "The pack is left full",
		"A full lithium pack ages about one and a half times as fast as one at storage charge, and burns more fiercely.",
		"bring it to storage charge if it will not be used within a week",
		func(f *Facts) (float64, bool) {
			z := restedPercent(f, (*Facts).highestRested)
			return z, z >= nearFull
		})
}

func storedEmpty() Rule {
	return stored("stored-empty", "The pack is left empty",
		"Self-discharge takes an empty lithium pack below its floor, from where it may not be charged again.",
		"bring it to storage charge before leaving it",
		func(f *Facts) (float64, bool) {
			z := restedPercent(f, (*Facts).lowestRested)
			return z, z <= nearlyEmpty
		})
}

func packAged() Rule {
	return Rule{
		ID: "pack-aged", Family: PackAlone, Since: "0.1.0",
		Levels:    []Level{{Severity: spec.Note, Unit: "days"}},
		Title:     "The pack is past its usual calendar life",
		Rationale: "Cells age whether they are used or not; an old pack may fail although it was charged seldom.",
		Remedy:    "measure its capacity and resistance, and retire it if either is poor",
		Source:    spec.Practice("the usual calendar life of each chemistry"),
		Value:     "as_of - pack.made_on",
		Against:   "chem.life_days",
		Needs: []Input{
			packField("made_on", func(p *spec.Pack) bool { return p.MadeOn != "" }),
			needs(func(f *Facts) bool { return f.AsOf != "" }, "/as_of"),
		},
		Check: func(f *Facts, out *Out) {
			made, _ := f.Pack.MadeOn.Day()
			now, _ := f.AsOf.Day()
			age, life := float64(now-made), f.Chemistry.LifeDays.Value
			if age > life {
				out.Hit(0, age, life, fmt.Sprintf("it was made on %s, %s years before %s; %s packs usually last about %s", f.Pack.MadeOn, spec.Short(age/365.25), f.AsOf, f.Pack.Chemistry, spec.Short(life/365)), "/pack/made_on")
			}
		},
	}
}
