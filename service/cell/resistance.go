package cell

import (
	"math"

	"github.com/wattkeel/wattkeel/service/spec"
)

// acReading estimates what a 1 kHz meter shows on one series group at the
// pack's temperature, in ohms, and says from what. ratedAh is the capacity of
// the group.
func acReading(c *Chemistry, p *spec.Pack, ratedAh, degC float64) (ohm, low, high float64, why string) {
	product := c.Typical.Value
	low, high, why = typicalLow, typicalHigh, "typical for the chemistry and capacity, by the pack's temperature and age"
	if p.MaxDischargeCRate != nil {
		// Held to half and twice the typical value, because printed rates are
		// seldom earned.
		product = min(max(c.RatedSagV.Value/(*p.MaxDischargeCRate), product/earnedMost), product*earnedMost)
		low, high, why = printedLow, printedHigh, "from the printed discharge rate and capacity, by the pack's temperature and age"
	}
	return product / ratedAh * arrhenius(degC) * ageing(p), low, high, why
}

// NewReading is the 1 kHz reading, in ohms, that the printed discharge rate
// implies for a new series group at the pack's temperature (25 °C where it is
// not given), or the chemistry's typical value where no rate is printed.
func NewReading(c *Chemistry, p *spec.Pack) float64 {
	q := spec.Pack{MaxDischargeCRate: p.MaxDischargeCRate}
	degC := referenceDegC
	if p.TemperatureDegC != nil {
		degC = *p.TemperatureDegC
	}
	ohm, _, _, _ := acReading(c, &q, p.CapacityMAh/1000, degC)
	return ohm
}

// ToAC1kHz converts a reading taken by another method to what a 1 kHz meter
// would show.
func ToAC1kHz(m spec.ResistanceMethod, ohm float64) float64 {
	switch m {
	case spec.DC10s:
		return ohm / tenSecondToAC
	case spec.DCShort:
		return ohm / oneSecondToAC
	}
	return ohm
}

// quasiSteady turns a reading of a series group into the one resistance that
// charge and storage plans use: ohmic and polarization part together, which
// many time constants later act as one. The range is what is known of the
// ratio: published for the 10 s reading, from memory for the others.
func quasiSteady(c *Chemistry, m spec.ResistanceMethod, ohm float64) Estimate {
	full := ToAC1kHz(m, ohm) * (1 + c.PolarFactor.Value)
	switch m {
	case spec.DC10s:
		return spread(full, dc10sLow, dc10sHigh)
	case spec.DCShort:
		return spread(full, dcShortLow, dcShortHigh)
	}
	return spread(full, ac1kHzLow, ac1kHzHigh)
}

// arrhenius scales a resistance from 25 °C to degC.
func arrhenius(degC float64) float64 {
	t := max(degC, coldestDegC) + celsius
	return math.Exp(arrheniusJMol / gasConstant * (1/t - 1/(referenceDegC+celsius)))
}

// ageing scales the resistance of a new cell by the wear that is known: by
// half when the capacity is down to 80 %, or by a tenth for each 100 cycles,
// at most to twice (from memory).
func ageing(p *spec.Pack) float64 {
	switch {
	case p.MeasuredCapacityMAh != nil:
		worn := max(0, 1-*p.MeasuredCapacityMAh/p.CapacityMAh)
		return min(1+resistanceOfWear*worn, mostAgeing)
	case p.Cycles != nil:
		return min(1+resistanceOfCycle*float64(*p.Cycles), mostAgeing)
	}
	return 1
}
