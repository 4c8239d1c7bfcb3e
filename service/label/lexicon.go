package label

import (
	"maps"

	"github.com/wattkeel/wattkeel/service/spec"
)

// unit is what a word behind a number says the number is.
type unit uint8

const (
	noUnit unit = iota
	milliampHour
	ampHour
	milliwattHour
	wattHour
	kilowattHour
	volt
	millivolt
	series // S
	cells  // "cells"
	parallel
	rate // C
	ampere
	milliampere
	watt
	hour
	gauge
	gram
	kilogram
	ounce
	second
	otherUnit // known, and of no interest here
)

// role is what the words beside a number say it is for.
type role uint16

const (
	charge role = 1 << iota
	discharge
	continuous
	burst
	most   // "max": a full voltage, where it stands beside volts
	full   // a voltage at the end of charge
	cutoff // a voltage at the end of discharge, or another that is not nominal
	usual  // recommended, rather than the highest
)

// meaning is what a word means here. A word with a meaning is no part of a
// model number.
type meaning struct {
	unit     unit
	role     role
	filler   bool // it may stand between a role and its number
	length   bool // a unit of length, which may be squared
	times    bool // it stands between the sides of a box
	thermal  bool // it makes the next C a temperature
	counts   bool // how many packs are in the box
	wantUnit bool // a number behind it is a value
}

func lexicon() map[string]meaning {
	words := map[string]meaning{}
	add := func(m meaning, list ...string) {
		for _, w := range list {
			words[w] = m
		}
	}
	add(meaning{unit: milliampHour}, "mah", "mahr", "mahrs", "milliamphours", "milliamphour")
	add(meaning{unit: ampHour}, "ah", "amphour", "amphours")
	add(meaning{unit: milliwattHour}, "mwh")
	add(meaning{unit: wattHour}, "wh", "whr", "whrs", "watthour", "watthours")
	add(meaning{unit: kilowattHour}, "kwh")
	add(meaning{unit: volt}, "v", "volt", "volts", "vdc")
	add(meaning{unit: millivolt}, "mv")
	add(meaning{unit: series}, "s", "series")
	add(meaning{unit: cells}, "cell", "cells")
	add(meaning{unit: parallel}, "p", "parallel")
	add(meaning{unit: rate}, "c")
	add(meaning{unit: ampere}, "a", "amp", "amps", "ampere", "amperes")
	add(meaning{unit: milliampere}, "ma", "milliamp", "milliamps", "milliampere", "milliamperes")
	add(meaning{unit: watt}, "w", "watt", "watts")
	add(meaning{unit: hour}, "h", "hr", "hrs", "hour", "hours")
	add(meaning{unit: gauge}, "awg")
	add(meaning{unit: gram}, "g", "gr", "gram", "grams", "gm")
	add(meaning{unit: kilogram}, "kg")
	add(meaning{unit: ounce}, "oz", "ounce", "ounces")
	add(meaning{unit: otherUnit, length: true}, "mm", "cm", "m", "in", "inch", "inches", "ft", "mm\xfe")
	add(meaning{unit: otherUnit}, "kv", "kw", "rpm", "hz", "khz", "ohm", "ohms", "mohm", "mins", "minutes", "minute",
		"day", "days", "month", "months", "year", "years", "yr", "cycles", "cycle", "times", "pin", "pins", "way",
		"lb", "lbs", "k", "f", "deg", "degc", "degree", "degrees", "celsius", "fahrenheit", "st", "nd", "rd", "th")
	add(meaning{unit: second}, "sec", "secs", "second", "seconds")
	add(meaning{counts: true}, "pcs", "pc", "pack", "packs", "piece", "pieces", "set", "sets", "pair", "battery", "batteries", "of", "qty")
	add(meaning{times: true}, "x")

	add(meaning{role: charge}, "charge", "charging", "chg", "recharge", "charges")
	add(meaning{role: discharge}, "discharge", "discharging", "discharges", "dischg", "dsg")
	add(meaning{role: continuous}, "continuous", "continuously", "cont", "constant", "const", "sustained")
	add(meaning{role: burst}, "burst", "bursts", "peak", "pulse", "surge")
	add(meaning{role: most, filler: true}, "max", "maximum")
	add(meaning{role: full}, "full", "charged")
	add(meaning{role: cutoff}, "cutoff", "lvc", "minimum")
	words["min"] = meaning{unit: otherUnit, role: cutoff}
	add(meaning{role: usual, filler: true}, "recommended", "standard", "normal", "suggested")
	add(meaning{filler: true}, "rate", "rates", "rated", "rating", "ratings", "current", "currents", "up", "to", "at", "is", "are", "value", "voltage",
		"nominal", "nom", "the", "allowed", "limit", "fast", "safe", "by", "with", "for")
	add(meaning{filler: true, wantUnit: true}, "capacity", "energy")
	add(meaning{thermal: true}, "temp", "temperature", "temperatures", "operating", "ambient", "above", "below", "under", "exceed")
	add(meaning{thermal: true, role: cutoff}, "storage", "store")
	add(meaning{}, "li", "lipo", "lihv", "liion", "life", "lifepo", "lfp", "hv", "poly", "polymer", "po", "ion", "fe", "nimh", "ni", "mh", "nicd", "cd", "lto",
		"rc", "soft", "hard", "case", "boat", "tug", "plug", "lead", "wire", "jst", "xt", "ec", "and", "typ", "high", "low", "new", "cap", "per",
		"each", "dc", "or", "on", "off", "only", "size", "count", "used", "made", "date", "lot", "no", "net", "use", "not", "dry", "usb")
	return words
}

// phrase is the name of a chemistry.
type phrase struct {
	chemistry spec.Chemistry // empty where this service does not know it
	weak      bool           // it says high voltage, and not of what
	exact     bool           // it must be spelled LiFe: life is a word of its own
	part      bool           // it is only how a name begins
}

// phrases lists the names of chemistries without what stands between their
// parts, so that Li-Po, Li Po and LiPo are one. How they begin is listed as well,
// so that a search ends where no name goes on.
func phrases() map[string]phrase {
	names := map[string]phrase{}
	add := func(p phrase, list ...string) {
		for _, n := range list {
			names[n] = p
		}
	}
	add(phrase{chemistry: spec.LiPo}, "lipo", "lipoly", "lipolymer", "lithiumpolymer", "lithiumpoly", "lithiumpo", "lithiumionpolymer", "liionpolymer", "lipobattery")
	add(phrase{chemistry: spec.LiHV}, "lihv", "lipohv", "hvlipo", "lipolymerhv", "hvlipolymer", "lipolyhv", "hvlipoly", "hvlithiumpolymer", "lithiumpolymerhv", "lithiumhv", "hvlithium",
		"highvoltagelipo", "highvoltagelipolymer", "highvoltagelithiumpolymer", "highvoltagelithium",
		"lihvlipo", "lipolihv")
	add(phrase{chemistry: spec.LiHV, weak: true}, "hv", "highvoltage")
	add(phrase{chemistry: spec.LiIon}, "liion", "lithiumion", "lithiumions", "liionen")
	add(phrase{chemistry: spec.LiFePO4}, "lifepo", "lifepo4", "lfp", "lithiumironphosphate", "lithiumiron", "lithiumferrophosphate", "lithiumphosphate", "lithiumferrousphosphate")
	add(phrase{chemistry: spec.LiFePO4, exact: true}, "life")
	add(phrase{chemistry: spec.NiMH}, "nimh", "nickelmetalhydride", "nimetalhydride", "nimhd", "nickelhydride")
	add(phrase{}, "nicd", "nicad", "nickelcadmium", "leadacid", "sla", "agm", "alkaline", "lto", "lithiumtitanate", "nizn", "nickelzinc", "sodiumion", "naion", "zinccarbon", "lithiumsulfur", "lithiummetal", "limetal")
	for name := range maps.Clone(names) {
		for n := 1; n < len(name); n++ {
			if _, whole := names[name[:n]]; !whole {
				names[name[:n]] = phrase{part: true}
			}
		}
	}
	return names
}
