package rule

import (
	"fmt"
	"math"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/spec"
)

// labelRules catch labels that contradict themselves.
func labelRules() []Rule {
	return []Rule{labelVoltage(), labelEnergy(), capacityUnit(), chargeRateUnusual(), chargeRateIsDischargeRate(), burstBelowContinuous()}
}

func labelVoltage() Rule {
	return Rule{
		ID: "label-voltage-contradicts-cells", Family: PackAlone, Since: "0.1.0",
		Levels:    []Level{from(spec.Stop, 3, "percent")},
		Title:     "The printed voltage is that of another cell count or chemistry",
		Rationale: "The cell count sets the end voltage. One cell too many in the setting overcharges every cell of the pack.",
		Remedy:    "read the label again, count the cells (a balance lead has one wire more), and correct cells_series, chemistry or nominal_voltage_v",
		Source:    nameplate("2.21: in series, voltages add"),
		Value:     "$nearest(pack.nominal_voltage_v / pack.cells_series)",
		Needs:     []Input{packField("nominal_voltage_v", func(p *spec.Pack) bool { return p.NominalVoltageV != nil })},
		Check: func(f *Facts, out *Out) {
			printed := *f.Pack.NominalVoltageV
			cells := f.Pack.CellsSeries
			cellV, off := NearestNominal(f.Chemistry, printed, cells)
			want := cellV * float64(cells)
			const volts, count, chemistry = "/pack/nominal_voltage_v", "/pack/cells_series", "/pack/chemistry"
			if beyond(off, out.Limit(0)) {
				out.Hit(0, off, out.Limit(0), fmt.Sprintf("the label prints %s V, but %d %s cells of %s V are %s V: %s %% apart",
					spec.Plain(printed), cells, f.Pack.Chemistry, spec.Plain(cellV), spec.Plain(want), spec.Beside(off, out.Limit(0))), volts, count, chemistry)
				return
			}
			// Within the limit, but another reading fits clearly better: a pack
			// that is full at a lower voltage, or another number of cells.
			for _, c := range f.Chemistries.All() {
				if _, o := NearestNominal(c, printed, cells); c.FullV.Value > 0 && c.FullV.Value < f.Chemistry.FullV.Value && o < off-ClearlyBetter {
					out.Hit(0, off, out.Limit(0), fmt.Sprintf("the label prints %s V: that is %d %s cells, which are full at %s V, rather than %s at %s V",
						spec.Plain(printed), cells, c.Name, spec.Plain(c.FullV.Value), f.Pack.Chemistry, spec.Plain(f.Chemistry.FullV.Value)), volts, count, chemistry)
					return
				}
			}
			for _, n := range [2]int{cells - 1, cells + 1} {
				if _, o := NearestNominal(f.Chemistry, printed, n); n > 0 && o < off-ClearlyBetter {
					out.Hit(0, off, out.Limit(0), fmt.Sprintf("the label prints %s V: that is %d cells rather than %d", spec.Plain(printed), n, cells), volts, count, chemistry)
					return
				}
			}
		},
	}
}

// ClearlyBetter is by how many percentage points another reading of a label
// must fit better to be believed.
const ClearlyBetter = 0.5

// NearestNominal is the nominal cell voltage that comes closest to a printed
// pack voltage, and how many percent they are apart.
func NearestNominal(c *cell.Chemistry, printed float64, cells int) (cellV, offPercent float64) {
	cellV = c.NominalV.Value
	apart := func(v float64) float64 { return math.Abs(printed/(v*float64(cells))-1) * 100 }
	offPercent = apart(cellV)
	for _, alt := range c.NominalAltV {
		if o := apart(alt.Value); o < offPercent {
			cellV, offPercent = alt.Value, o
		}
	}
	return cellV, offPercent
}

// labelWh is the energy the rest of the label implies, and how many percent
// the printed energy is off.
func labelWh(f *Facts) (wh, offPercent float64) {
	ah, cells := f.Pack.CapacityMAh/1000, float64(f.Pack.CellsSeries)
	if v := f.Pack.NominalVoltageV; v != nil {
		wh = *v * ah
	} else {
		cellV, _ := NearestNominal(f.Chemistry, *f.Pack.EnergyWh/ah, f.Pack.CellsSeries)
		wh = cellV * cells * ah
	}
	return wh, math.Abs(*f.Pack.EnergyWh/wh-1) * 100
}

func energyWh() Input {
	return packField("energy_wh", func(p *spec.Pack) bool { return p.EnergyWh != nil })
}

func labelEnergy() Rule {
	return Rule{
		ID: "label-energy-contradicts", Family: PackAlone, Since: "0.1.0",
		Levels:    []Level{from(spec.Caution, 5, "percent")},
		Title:     "The printed watt hours are not volts times amp hours",
		Rationale: "One of the three numbers is wrong, and the current is worked out from the capacity.",
		Remedy:    "read the label again and correct energy_wh, capacity_mah or nominal_voltage_v; if the label itself is wrong, charge by the lower capacity",
		Source:    spec.Source{Kind: spec.Regulation, Title: "49 CFR 171.8, Watt-hour", Clause: "rated capacity in ampere-hours times nominal voltage", Standing: spec.Read},
		Value:     "$energy_off",
		Needs:     []Input{energyWh()},
		Check: func(f *Facts, out *Out) {
			wh, off := labelWh(f)
			if !beyond(off, out.Limit(0)) {
				return
			}
			out.Hit(0, off, out.Limit(0), fmt.Sprintf("the label prints %s Wh, but its voltage and capacity make %s Wh: %s %% apart",
				spec.Plain(*f.Pack.EnergyWh), spec.Short(wh), spec.Beside(off, out.Limit(0))),
				"/pack/energy_wh", "/pack/capacity_mah")
		},
	}
}

func capacityUnit() Rule {
	return Rule{
		ID: "capacity-unit-suspect", Family: PackAlone, Since: "0.1.0",
		Levels:    []Level{from(spec.Caution, 50, "mah")},
		Title:     "The capacity makes sense only in another unit",
		Rationale: "A capacity ten or a thousand times too high sets a current ten or a thousand times too high.",
		Remedy:    "write the capacity in milliampere hours: 2.2 Ah is 2200",
		Source:    spec.Practice("hobby packs hold 50 mAh to some 100,000 mAh"),
		Value:     "pack.capacity_mah",
		Against:   "rule.capacity_unit_suspect.limit_0 | constant.largest_mah",
		Check: func(f *Facts, out *Out) {
			p, limit := f.Pack, out.Limit(0)
			say := func(why string, at string) {
				out.Say(0, fmt.Sprintf("capacity_mah is %s, but %s", spec.Plain(p.CapacityMAh), why), "/pack/capacity_mah", at)
			}
			const wild = 8 // no honest label is this many times off
			if p.EnergyWh != nil {
				wh, _ := labelWh(f)
				if r := wh / *p.EnergyWh; r > wild || r < 1.0/wild {
					say(fmt.Sprintf("by the printed %s Wh it would be about %s", spec.Plain(*p.EnergyWh), spec.Short(p.CapacityMAh/r)), "/pack/energy_wh")
					return
				}
			}
			if p.MeasuredCapacityMAh != nil {
				if r := p.CapacityMAh / *p.MeasuredCapacityMAh; r > 50 || r < 1.0/5 {
					say(fmt.Sprintf("%s mAh was measured", spec.Plain(*p.MeasuredCapacityMAh)), "/pack/measured_capacity_mah")
					return
				}
			}
			if p.MassG != nil {
				joules := float64(p.CellsSeries) * f.Chemistry.NominalV.Value * p.CapacityMAh * 3.6
				usual := joules / f.Chemistry.EnergyJKg.Value * 1000
				if r := usual / *p.MassG; r > wild || r < 1.0/wild {
					say(fmt.Sprintf("such a pack would weigh about %s g, not %s g", spec.Short(usual), spec.Plain(*p.MassG)), "/pack/mass_g")
					return
				}
			}
			if p.CapacityMAh < limit {
				mAh := spec.Plain(p.CapacityMAh)
				out.Hit(0, p.CapacityMAh, limit, "capacity_mah is "+mAh+", and hardly any pack is that small: "+mAh+" Ah would be "+spec.Plain(p.CapacityMAh*1000), "/pack/capacity_mah")
			} else if p.CapacityMAh > largestMAh {
				out.Hit(0, p.CapacityMAh, largestMAh, "capacity_mah is "+spec.Plain(p.CapacityMAh)+", and hardly any hobby pack is that large: read the label again", "/pack/capacity_mah")
			}
		},
	}
}

// largestMAh is a capacity that hobby packs hardly pass.
const largestMAh = 100000.0

func chargeRateUnusual() Rule {
	return Rule{
		ID: "charge-rate-unusual", Family: PackAlone, Since: "0.1.0",
		Levels:    []Level{{Severity: spec.Caution, Unit: "c_rate"}},
		Title:     "The printed charge rate is above what the chemistry is ever sold for",
		Rationale: "A discharge rating read as a charge rating sets a current that overheats the pack. Such a rate is treated as not printed.",
		Remedy:    "look for the words \"charge rate\" on the label; where there are none, leave max_charge_c_rate out",
		Source:    spec.Practice("the highest charge rates packs of each chemistry are sold with"),
		Value:     "pack.max_charge_c_rate",
		Against:   "chem.most_sold_c_rate",
		Needs:     []Input{chargeRate()},
		Check: func(f *Facts, out *Out) {
			rate, most := *f.Pack.MaxChargeCRate, f.Chemistry.MostSoldC.Value
			if rate <= most {
				return
			}
			out.Hit(0, rate, most, fmt.Sprintf("max_charge_c_rate is %s; no %s pack is sold for charging above %s C, so it is treated as not printed",
				spec.Plain(rate), f.Pack.Chemistry, spec.Plain(most)), "/pack/max_charge_c_rate")
		},
	}
}

func chargeRateIsDischargeRate() Rule {
	return Rule{
		ID: "charge-rate-is-discharge-rate", Family: PackAlone, Since: "0.1.0",
		Levels:    []Level{from(spec.Stop, 5, "c_rate")},
		Title:     "The charge rate is not below the discharge rate",
		Rationale: "Packs are discharged faster than they are charged. Where both rates are high and the charge rate is not below the other, the discharge rating was read as a charge rating: that current can start a fire.",
		Remedy:    "look for the words \"charge rate\" on the label; where there are none, leave max_charge_c_rate out",
		Source:    spec.Practice("above 5 C a pack's charge rate is well below its discharge rate"),
		Value:     "pack.max_charge_c_rate",
		Needs:     []Input{chargeRate(), dischargeRate()},
		Check: func(f *Facts, out *Out) {
			charge, discharge := *f.Pack.MaxChargeCRate, *f.Pack.MaxDischargeCRate
			if charge > out.Limit(0) && charge >= discharge {
				out.Hit(0, charge, out.Limit(0), fmt.Sprintf("max_charge_c_rate is %s and max_discharge_c_rate is %s: the discharge rating seems to have been read as the charge rating",
					spec.Plain(charge), spec.Plain(discharge)), "/pack/max_charge_c_rate", "/pack/max_discharge_c_rate")
			}
		},
	}
}

func burstBelowContinuous() Rule {
	return Rule{
		ID: "burst-below-continuous", Family: PackAlone, Since: "0.1.0",
		Levels:    []Level{{Severity: spec.Caution, Unit: "c_rate"}},
		Title:     "The burst rating is under the continuous rating",
		Rationale: "The two numbers were swapped or misread, so neither can be relied on.",
		Remedy:    "read the label again: the higher rate is the burst rate",
		Source:    arithmetic("a burst is at least what is continuous"),
		Value:     "pack.burst_discharge_c_rate",
		Against:   "pack.max_discharge_c_rate",
		Needs: []Input{
			dischargeRate(),
			packField("burst_discharge_c_rate", func(p *spec.Pack) bool { return p.BurstDischargeCRate != nil }),
		},
		Check: func(f *Facts, out *Out) {
			burst, steady := *f.Pack.BurstDischargeCRate, *f.Pack.MaxDischargeCRate
			if burst < steady {
				out.Hit(0, burst, steady, fmt.Sprintf("burst_discharge_c_rate is %s, under max_discharge_c_rate %s", spec.Plain(burst), spec.Plain(steady)),
					"/pack/burst_discharge_c_rate", "/pack/max_discharge_c_rate")
			}
		},
	}
}
