package cell

import "github.com/wattkeel/wattkeel/service/spec"

// The constants of the model that belong to no one chemistry. Constants gives
// each its source.
const (
	secondsInMinute = 60.0
	wattHour        = 3600.0 // joules
	ampHour         = 3600.0 // coulombs
	celsius         = 273.15
	gasConstant     = 8.314462618
	roomDegC        = 20.0

	labelLow, labelHigh       = 0.85, 1.05
	measuredLow, measuredHigh = 0.98, 1.02
	guessOff                  = 0.05
	landedFull                = 0.3
	landedLeast               = 0.2
	chargedLeast              = 0.95

	referenceDegC           = 25.0
	coldestDegC             = -60.0
	arrheniusJMol           = 20000.0
	resistanceOfWear        = 2.5
	resistanceOfCycle       = 0.001
	mostAgeing              = 2.0
	earnedMost              = 2.0
	typicalLow, typicalHigh = 0.40, 2.8
	printedLow, printedHigh = 0.45, 2.2

	tenSecondToEnd          = 1.7
	tenSecondToAC           = 2.2
	oneSecondToAC           = 1.5
	ac1kHzLow, ac1kHzHigh   = 0.60, 1.60
	dcShortLow, dcShortHigh = 0.65, 1.45
	dc10sLow, dc10sHigh     = 1.2 / tenSecondToEnd, 2.2 / tenSecondToEnd
	chenTimeConst           = 131.0

	specificHeatJKgK = 1000.0
	stillAirWM2K     = 7.5
	densityKgM3      = 2000.0
	boxArea          = 2 * (4.5*1.5 + 4.5*1.0 + 1.5*1.0)
	boxVolume        = 4.5 * 1.5 * 1.0

	wireGauge36M    = 0.127e-3
	wireGaugeRatio  = 92.0
	copperOhmM      = 1.0 / 58e6
	copperPerK      = 0.00393
	copperAtDegC    = 20.0
	wireAmbientDegC = 30.0
	wireLimitDegC   = 80.0
	wireFilmWM2K    = 12.0
	insulatedRatio  = 2.0

	ageingPerV, ageingOffset        = 7.543, 23.75
	ageingScale, ageingK            = 1e6, 6976.0
	ageingExponent                  = 0.75
	ageingLow, ageingHigh           = 0.5, 2.0
	ageingOtherLow, ageingOtherHigh = 1.0 / 3, 3.0
)

// Constant is one constant of the model.
type Constant struct {
	Name string
	Unit string
	Says string
	Param
}

// Constants lists the constants of the model, each with its source.
func Constants() []Constant {
	c := func(name, unit string, x float64, says string, s spec.Source) Constant {
		return Constant{name, unit, says, Param{x, s}}
	}
	practice := spec.Practice
	memory := func(what string) spec.Source { return recalled(spec.Handbook, what) }
	return append([]Constant{
		c("room_degc", "degc", roomDegC, "room temperature", practice("room temperature is 20 °C")),
		c("zero_celsius_k", "k", celsius, "0 °C in kelvin", spec.Source{Kind: spec.Standard, Title: "SI Brochure", Clause: "degree Celsius", Standing: spec.FromMemory}),
		c("gas_constant", "joule per mole and kelvin", gasConstant, "the molar gas constant", spec.Source{Kind: spec.Standard, Title: "CODATA 2018", Year: 2018, Standing: spec.FromMemory}),

		c("label_capacity_low", "ratio", labelLow, "the least a pack holds of its label until worn", practice("packs hold 85 to 105 % of the label until worn")),
		c("label_capacity_high", "ratio", labelHigh, "the most a pack holds of its label", practice("packs hold 85 to 105 % of the label until worn")),
		c("measured_capacity_low", "ratio", measuredLow, "a hobby charger's capacity reading is good to about 2 %", memory("accuracy of a hobby charger's capacity count")),
		c("measured_capacity_high", "ratio", measuredHigh, "a hobby charger's capacity reading is good to about 2 %", memory("accuracy of a hobby charger's capacity count")),
		c("guess_off", "ratio", guessOff, "a person's estimate of charge is good to 5 points", practice("a person's estimate of charge is good to 5 points")),
		c("landed_least", "ratio", landedLeast, "a pack is put away with no less after use", practice("a pack is landed with 20 to 30 % left")),
		c("charged_least", "ratio", chargedLeast, "the least a charged pack holds", practice("a charged pack holds 95 to 100 %")),
		c("landed_full", "ratio", landedFull, "a pack is seldom put away fuller after use", practice("a pack is landed with 20 to 30 % left")),

		c("reference_degc", "degc", referenceDegC, "the temperature that resistances refer to", practice("cell resistance is stated at 25 °C")),
		c("coldest_degc", "degc", coldestDegC, "no resistance is extrapolated below this", practice("no hobby pack is used below -60 °C")),
		c("activation_energy", "joule per mole", arrheniusJMol, "of cell resistance: about double at 0 °C", memory("activation energy of the resistance of lithium cells, about 20 kJ/mol")),
		c("resistance_of_wear", "ratio", resistanceOfWear, "resistance gained for each share of capacity lost: half as much again at 80 %", memory("resistance grows by about half when a fifth of the capacity is lost")),
		c("resistance_of_cycle", "ratio", resistanceOfCycle, "resistance gained for each cycle", memory("resistance grows by about a tenth in 100 cycles")),
		c("ageing_most", "ratio", mostAgeing, "wear is not taken to more than double the resistance", practice("twice the resistance when new is the end of life")),
		c("rating_earned_most", "ratio", earnedMost, "how far a printed discharge rate is believed from the typical one", practice("printed discharge rates are seldom earned")),
		c("typical_resistance_low", "ratio", typicalLow, "least resistance against the typical one", memory("spread of the resistance of packs of one capacity")),
		c("typical_resistance_high", "ratio", typicalHigh, "most resistance against the typical one: an ordinary low-rate cell", memory("spread of the resistance of packs of one capacity")),
		c("printed_resistance_low", "ratio", printedLow, "least resistance against the one the printed rate implies", memory("spread of the resistance of packs of one printed rate")),
		c("printed_resistance_high", "ratio", printedHigh, "most resistance against the one the printed rate implies", memory("spread of the resistance of packs of one printed rate")),

		c("ten_second_ratio", "ratio", tenSecondToAC, "a 10 s reading against one at 1 kHz", memory("a reading 10 s after a load step is about 2.2 times that at 1 kHz")),
		c("one_second_ratio", "ratio", oneSecondToAC, "a short step's reading against one at 1 kHz", memory("a reading within a second of a load step is about 1.5 times that at 1 kHz")),
		c("ac_1khz_low", "ratio", ac1kHzLow, "least quasi-steady resistance against what a 1 kHz reading implies", memory("spread of the ratio of 1 kHz to quasi-steady resistance")),
		c("ac_1khz_high", "ratio", ac1kHzHigh, "most quasi-steady resistance against what a 1 kHz reading implies", memory("spread of the ratio of 1 kHz to quasi-steady resistance")),
		c("dc_short_low", "ratio", dcShortLow, "least quasi-steady resistance against what a short step implies", memory("spread of the ratio of 1 s to quasi-steady resistance")),
		c("dc_short_high", "ratio", dcShortHigh, "most quasi-steady resistance against what a short step implies", memory("spread of the ratio of 1 s to quasi-steady resistance")),
		c("dc_10s_low", "ratio", dc10sLow, "least quasi-steady resistance against what a 10 s step implies: 1.2 over 1.7", polarization().Source),
		c("dc_10s_high", "ratio", dc10sHigh, "most quasi-steady resistance against what a 10 s step implies: 2.2 over 1.7", polarization().Source),

		c("leak_month_days", "days", leakMonthDays, "a month of self-discharge", spec.Source{Kind: spec.Derived, Title: "a twelfth of a year of 365.25 days"}),
		c("leak_held", "ratio", leakHeld, "below this charge self-discharge is held at its value there", spec.Source{Kind: spec.Derived, Title: "a choice of this service on the safe side: how self-discharge falls off toward empty is not published"}),

		c("specific_heat", "joule per kilogram and kelvin", specificHeatJKgK, "of a pack", spec.Source{Kind: spec.Paper, Title: "Measured pouch and cylindrical cells", Clause: "800 to 1100 J/(kg K), published summary", Standing: spec.Read}),
		c("still_air", "watt per square meter and kelvin", stillAirWM2K, "natural convection", memory("natural convection, 5 to 10 W/(m² K)")),
		c("density", "kilogram per cubic meter", densityKgM3, "of a pack of any chemistry", memory("packs of any chemistry, about 2 g/cm³")),
		c("box_area", "ratio", boxArea, "area of a box with edges 4.5 : 1.5 : 1, in squares of its least edge", practice("the shape of the common 3-cell stick is 4.5 : 1.5 : 1")),
		c("box_volume", "ratio", boxVolume, "volume of that box, in cubes of its least edge", practice("the shape of the common 3-cell stick is 4.5 : 1.5 : 1")),

		c("wire_gauge_36_m", "m", wireGauge36M, "diameter of gauge 36", wireGauge()),
		c("wire_gauge_ratio", "ratio", wireGaugeRatio, "ratio of diameters over 39 gauges", wireGauge()),
		c("copper_resistivity", "ohm meter", copperOhmM, "of annealed copper at 20 °C: 1 over 58 million", copper()),
		c("copper_per_k", "1 per kelvin", copperPerK, "temperature coefficient of that", copper()),
		c("copper_at_degc", "degc", copperAtDegC, "the temperature both refer to", copper()),
		c("wire_ambient_degc", "degc", wireAmbientDegC, "still air around the wire", practice("a lead is rated in still air at 30 °C")),
		c("wire_limit_degc", "degc", wireLimitDegC, "what the insulation bears for hours", practice("a lead is rated to 80 °C")),
		c("wire_film", "watt per square meter and kelvin", wireFilmWM2K, "convection and radiation of a thin round wire in still air", memory("film coefficient of a thin round wire in still air")),
		c("insulated_ratio", "ratio", insulatedRatio, "diameter over insulation to that of the conductor", memory("soft hobby wire is about twice as thick as its conductor")),
	}, calendar()...)
}

func wireGauge() spec.Source {
	return spec.Source{Kind: spec.Standard, Title: "ASTM B258", Clause: "diameter 0.127 mm · 92^((36 − n)/39)", Standing: spec.Read}
}

func copper() spec.Source {
	return spec.Source{Kind: spec.Standard, Title: "IEC 60028", Clause: "International Annealed Copper Standard", Year: 1925, Standing: spec.Read}
}
