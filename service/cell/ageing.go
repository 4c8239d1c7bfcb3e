package cell

import (
	"math"

	"github.com/wattkeel/wattkeel/service/spec"
)

// schmalstieg is the published calendar-ageing result that losses are worked out
// by. Its state of charge was varied at 50 °C and its temperature at 50 %, so a
// full cell at room temperature is an extrapolation.
func schmalstieg(clause string) spec.Source {
	return spec.Source{
		Kind: spec.Paper, Title: "J. Schmalstieg, S. Kaebitz, M. Ecker, D. U. Sauer, J. Power Sources 257, 325-334",
		Clause: clause + "; nickel-manganese-cobalt 18650 cells, doi 10.1016/j.jpowsour.2014.02.012, as coded in a national laboratory's open library", Year: 2014, Standing: spec.Read,
	}
}

// AgeingSource is where CalendarLoss comes from.
func AgeingSource() spec.Source { return schmalstieg("calendar loss of capacity") }

// CalendarLoss is the share of its capacity that a cell loses while it lies for
// days at a rested voltage:
//
//	(7.543·V − 23.75)·10⁶·exp(−6976 K/T)·days^0.75
//
// with the temperature T in kelvin: none below 3.149 V, where the rate would turn
// negative, and at most all of it.
func CalendarLoss(volt, degC, days float64) float64 {
	rate := max(ageingPerV*volt-ageingOffset, 0) * ageingScale * math.Exp(-ageingK/(max(degC, coldestDegC)+celsius))
	return min(rate*math.Pow(days, ageingExponent), 1)
}

// AgeingRange is by how much the loss of other cells than those of the paper may
// differ from it, as factors: cells of the same kind by a factor of two, those of
// another lithium chemistry by three.
func AgeingRange(c spec.Chemistry) (low, high float64) {
	if c == spec.LiIon {
		return ageingLow, ageingHigh
	}
	return ageingOtherLow, ageingOtherHigh
}

// SelfDischarge is the share of its charge that a rested pack loses in a month.
func SelfDischarge(c spec.Chemistry) Estimate {
	if c == spec.NiMH {
		return Estimate{nickelLossLow, nickelLoss, nickelLossHigh}
	}
	return Estimate{lithiumLossLow, lithiumLoss, lithiumLossHigh}
}

// DaysToFall is how many days self-discharge at a rate a month takes from one
// state of charge to a lower one, above 0: each month takes the same share of what
// is left.
func DaysToFall(from, to, perMonth float64) float64 {
	return math.Log(to/from) / math.Log1p(-perMonth) * daysInMonth
}

// Left is the share of a charge that is left after days of self-discharge.
func Left(days, perMonth float64) float64 { return math.Pow(1-perMonth, days/daysInMonth) }

func zilberman() spec.Source {
	return spec.Source{
		Kind: spec.Paper, Title: "I. Zilberman, J. Sturm, A. Jossen, J. Power Sources 425, 217-226",
		Clause: "0.2 % a month at 10 % charge, 0.4 % at 90 %, 25 °C; by a summary that was read", Year: 2019, Standing: spec.Read,
	}
}

func textbookLoss() spec.Source {
	return spec.Source{Kind: spec.Handbook, Title: "Encyclopedias and textbooks on lithium-ion cells", Clause: "2 to 3 % a month, with a protection circuit", Standing: spec.Read}
}

func nickelTable() spec.Source {
	return spec.Source{
		Kind: spec.Paper, Title: "Journal of Renewable Energy, 2329261", Clause: "Table 3: nimh about 30 % a month, low self-discharge 4 %", Year: 2024, Standing: spec.Read,
	}
}

// shelf lists the constants of ageing and self-discharge.
func shelf() []Constant {
	c := func(name, unit string, x float64, says string, s spec.Source) Constant {
		return Constant{name, unit, says, Param{x, s}}
	}
	spreads := recalled(spec.Handbook, "spread of the calendar life of cells of one chemistry, about a factor of two")
	others := recalled(spec.Handbook, "spread of the calendar life between lithium chemistries, about a factor of three")
	return []Constant{
		c("ageing_per_v", "1 per volt", ageingPerV, "calendar loss for each volt", schmalstieg("7.543 V − 23.75")),
		c("ageing_offset", "ratio", ageingOffset, "calendar loss, offset", schmalstieg("7.543 V − 23.75")),
		c("ageing_scale", "per day^0.75", ageingScale, "calendar loss, scale", schmalstieg("10⁶")),
		c("ageing_k", "k", ageingK, "calendar loss, activation energy over the gas constant: 58 kJ/mol", schmalstieg("exp(−6976/T)")),
		c("ageing_exponent", "ratio", ageingExponent, "calendar loss, power of the days", schmalstieg("t^0.75")),
		c("ageing_low", "ratio", ageingLow, "least loss of the paper's kind of cell against the paper's", spreads),
		c("ageing_high", "ratio", ageingHigh, "most loss of the paper's kind of cell against the paper's", spreads),
		c("ageing_other_low", "ratio", ageingOtherLow, "least loss of another lithium chemistry against the paper's", others),
		c("ageing_other_high", "ratio", ageingOtherHigh, "most loss of another lithium chemistry against the paper's", others),
		c("lithium_loss", "ratio", lithiumLoss, "charge a lithium pack loses in a month", textbookLoss()),
		c("lithium_loss_low", "ratio", lithiumLossLow, "least charge a lithium pack loses in a month", zilberman()),
		c("lithium_loss_high", "ratio", lithiumLossHigh, "most charge a lithium pack loses in a month", textbookLoss()),
		c("nickel_loss", "ratio", nickelLoss, "charge a nimh pack loses in a month", nickelTable()),
		c("nickel_loss_low", "ratio", nickelLossLow, "charge a nimh pack made for low self-discharge loses in a month", nickelTable()),
		c("nickel_loss_high", "ratio", nickelLossHigh, "most charge a nimh pack loses in a month", recalled(spec.Handbook, "self-discharge of old or warm nimh packs")),
		c("days_in_month", "days", daysInMonth, "a twelfth of 365.25 days", spec.Source{Kind: spec.Derived, Title: "365.25 / 12"}),
	}
}
