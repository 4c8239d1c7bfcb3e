package label

import (
	"fmt"
	"strings"

	"github.com/wattkeel/wattkeel/service/spec"
)

// missing lists the fields a pack must have that are not known, with what to
// look for.
func (p *page) missing() []Missing {
	out := []Missing{}
	for _, f := range [3]field{chemistryField, seriesField, capacityField} {
		if p.chosenClaim(f) != nil {
			continue
		}
		look := check(f)
		if p.refuted[f] {
			look = "what the label says of it is contradicted: " + look
		} else {
			look += p.hint(f)
		}
		out = append(out, Missing{Field: pointer(f), LookFor: look})
	}
	return out
}

// check says where to find a value.
func check(f field) string {
	switch f {
	case chemistryField:
		return "look for LiPo, LiHV, Li-ion, LiFePO4 or NiMH, or for the voltage of a full cell: 4.2 V is lipo or liion, 4.35 V lihv, 3.65 V lifepo4"
	case seriesField:
		return "look for a number before S or the word cell, and count the cells: a balance lead has one wire more than cells"
	case parallelField:
		return "look for a number before P, behind the number of cells in series"
	case capacityField:
		return "look for a number before mAh or Ah; it is never the number before C, V or Wh"
	case chargeField:
		return "look for the words charge rate; the number before C without them is the discharge rate"
	case dischargeField, burstField:
		return "look for the words continuous and burst beside the numbers before C"
	case massField:
		return "weigh the pack"
	case gaugeField:
		return "look for the number that is printed along the wire"
	case voltageField:
		return "look for the nominal voltage of the pack; the voltage of a full pack is higher"
	}
	return "look for a number before Wh, and compare it with volts times amp hours"
}

// hint tells what else the label says about a missing value, without choosing.
func (p *page) hint(f field) string {
	v, n := p.value(voltageField), int(p.value(seriesField))
	switch {
	case f == chemistryField && v != 0 && n > 0:
		var names []string
		for _, c := range p.r.fitting(v, n) {
			names = append(names, string(c))
		}
		if len(names) > 0 {
			return fmt.Sprintf("; %s V over %d cells would fit %s, but a voltage alone chooses no chemistry", spec.Plain(v), n, strings.Join(names, " or "))
		}
	case f == chemistryField && p.size:
		return "; a cell of this size is mostly liion, and some are lifepo4"
	case f == seriesField && v != 0 && p.chemistry() != "":
		return fmt.Sprintf("; more than one number of cells would fit %s V", spec.Plain(v))
	case f == seriesField && v != 0:
		return fmt.Sprintf("; the count follows from %s V only once the chemistry is known", spec.Plain(v))
	case f == capacityField && p.value(energyField) != 0 && v != 0:
		return fmt.Sprintf("; by the printed watt hours and volts it would be about %s mAh", spec.Short(p.value(energyField)/v*1000))
	}
	return ""
}
