package storage

import (
	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/spec"
)

// band is what a stored cell should hold, as fractions of full: target, and from
// where to where it is left as it is.
type band struct{ target, from, to float64 }

const (
	// leastStored is the lower end of published advice, and the lower end for
	// nimh; mostNickel is the upper end for nimh.
	leastStored, mostNickel = 0.30, 0.50
	// plateau is half the width of the plateaus within which ageing does not
	// depend on the state of charge: 20 to 30 % of the capacity.
	plateau = 0.10
)

// bandOf is the band of a chemistry.
//
// A cell between 30 % and ten points above storage charge is left: calendar ageing
// does not rise steadily with the state of charge but in plateaus of more than 20
// to 30 % of the capacity (Keil 2016), and public advice is 30 to 50 %. Nimh has no
// storage voltage; it is stored partly charged, 30 to 50 %.
func bandOf(c *cell.Chemistry) band {
	if c.Curve == nil {
		return band{target: (leastStored + mostNickel) / 2, from: leastStored, to: mostNickel}
	}
	z := c.Curve.Charge(c.StorageV.Value)
	return band{target: z, from: leastStored, to: z + plateau}
}

func keil(clause string) spec.Source {
	return spec.Source{
		Kind: spec.Paper, Title: "P. Keil, S. F. Schuster, J. Wilhelm, J. Travi, A. Hauser, R. C. Karl, A. Jossen, J. Electrochem. Soc. 163(9), A1872-A1880",
		Clause: clause, Year: 2016, Standing: spec.Read,
	}
}

// healthAdvice is a public body's advice on storing lithium packs, read on a page
// of somebody else's; whose it is is from memory.
func healthAdvice(clause string) spec.Source {
	return spec.Source{Kind: spec.Guidance, Title: "Public advice on storing lithium-ion batteries, attributed to Health Canada (the attribution from memory)", Clause: clause, Standing: spec.Read}
}

func modelClub(clause string) spec.Source {
	return spec.Source{Kind: spec.Guidance, Title: "A model-racing club's rules for nimh packs", Clause: clause, Standing: spec.Read}
}

// constants are those of this package.
func constants() []cell.Constant {
	c := func(name, unit string, x float64, says string, source spec.Source) cell.Constant {
		return cell.Constant{Name: name, Unit: unit, Says: says, Param: cell.Param{Value: x, Source: source}}
	}
	practice := func(name, unit string, x float64, says string) cell.Constant {
		return c(name, unit, x, says, spec.Practice(says))
	}
	return []cell.Constant{
		c("least_stored", "ratio", leastStored, "the least charge at which a pack is left", healthAdvice("charge between 30 and 50 %")),
		c("most_nickel_stored", "ratio", mostNickel, "the most charge at which a nimh pack is left", modelClub("stored at 30 to 50 %")),
		c("ageing_plateau", "ratio", plateau, "half the width of a plateau within which ageing does not depend on the charge", keil("plateaus of more than 20 to 30 % of the capacity")),
		practice("store_pace_c_rate", "c_rate", paceC, "a pack is discharged for storage at 1 C at most: nobody waits for it"),
		practice("unprinted_c_rate", "c_rate", unprintedC, "1 C where the label prints no discharge rate"),
		practice("gentle_c_rate", "c_rate", gentleC, "0.5 C is the gentle rate"),
		practice("discharge_step_a", "a", assumedStepA, "hobby chargers are set in tenths of an ampere"),
		practice("assumed_bleed_a", "a", assumedBleedA, "small hobby chargers bleed about 0.2 A"),
		practice("store_time_step_min", "min", timeStepMin, "a time limit is set in steps of five minutes"),
		practice("store_cutoff_step_mah", "mah", cutoffStepMAh, "a charge cut-off is set in steps of 10 mAh"),
		practice("stop_step_v", "v", stopStepV, "a stop voltage is set in steps of 10 mV"),
		practice("resistor_c_rate", "c_rate", resistorC, "a resistor is chosen for 0.5 C at most"),
		practice("resistor_most_w", "w", resistorW, "a resistor that has to give off more than 25 W is seldom to be had"),
		practice("resistor_derating", "ratio", resistorSpare, "a resistor in free air is run at half its rating at most"),
	}
}

// extreme is the highest or the lowest expected charge of the cells.
func (w *work) extreme(beats func(a, b float64) bool) float64 {
	z := w.model.Groups[0].Charge.Expected
	for i := range w.model.Groups {
		if x := w.model.Groups[i].Charge.Expected; beats(x, z) {
			z = x
		}
	}
	return z
}

func highest(a, b float64) bool { return a > b }

func lowest(a, b float64) bool { return a < b }

// nearly is what rounding may part two states of charge by.
const nearly = 1e-9

const apartHigh = "the cells are too far apart to be stored by the pack's terminals: the lowest holds no more than storage charge while the highest holds more; let a balancing charger bring them together first"

// decide picks the action.
func (w *work) decide() {
	p, b := w.plan, &w.band
	low, high := w.extreme(lowest), w.extreme(highest)
	choose := func(a Action, because string) { p.Action, p.Because = a, because }
	tooMuch, tooLittle := high > b.to+nearly, low < b.from-nearly
	switch {
	case w.days <= weekDays:
		choose(Leave, "for a week or less a pack is left as it is")
	case w.chem.Curve == nil:
		w.decideNickel()
	case !tooMuch && !tooLittle:
		choose(Leave, w.pen.S("every cell is near storage charge already: between ").About(b.from*100).S(" and ").About(b.to*100).S(" % a pack is left as it is").End())
	case tooMuch && low > b.target+nearly:
		choose(Discharge, "it holds more than storage charge")
	case tooMuch && !tooLittle && w.bleeds() && high <= w.bledTo()+nearly:
		choose(Leave, apartUnseen)
	case tooMuch && !tooLittle && w.bleeds():
		choose(Discharge, "the highest cells hold more than storage charge: they alone are bled, because the lowest holds no more than that")
	case tooMuch:
		choose(Leave, apartHigh)
	case high < b.target-nearly:
		choose(Charge, "it holds less than a stored pack should")
	default:
		choose(Leave, "the cells are too far apart to be stored by the pack's terminals: the lowest holds too little while the highest is at storage charge; let a balancing charger bring them together first")
	}
}

// decideNickel leaves a nimh pack whatever it holds: its self-discharge undoes in
// weeks what a charger would do, no published ageing speaks for a level, and
// nothing shows when a partial charge or discharge has come to it.
func (w *work) decideNickel() {
	w.plan.Action = Leave
	switch z := w.model.Groups[0].Charge; {
	case w.model.From == spec.FromAssumedAny:
		w.plan.Because = "a nimh pack has no storage voltage, and nobody knows how full this one is: leave it, and charge it before use"
	case z.Expected > w.band.to:
		w.plan.Because = "a nimh pack has no storage voltage: by itself it loses about a third of its charge a month, so it comes down without help"
	case z.Expected < w.band.from:
		w.plan.Because = "a nimh pack has no storage voltage, and lying nearly empty does it no lasting harm as long as no cell is driven into reversal: leave it, and charge it every few months and before use"
	default:
		w.plan.Because = "it is partly charged, as a nimh pack should be when it is put away"
	}
}

// apartUnseen is said of a flat curve.
const apartUnseen = "the lowest cell holds no more than storage charge, and the voltages of those that hold more are so near it that a balancing charger takes them for balanced"

// bledTo is the charge down to which a charger bleeds: storage charge, within what
// counts as balanced.
func (w *work) bledTo() float64 {
	return w.chem.Curve.Charge(w.chem.StorageV.Value + w.chem.ToleranceV.Value)
}

// bleeds says whether the charger equalizes the cells of this pack.
func (w *work) bleeds() bool {
	c := w.q.Charger
	return c != nil && w.q.Pack.CellsSeries > 1 && c.Balance != spec.BalanceNone
}
