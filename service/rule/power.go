package rule

import (
	"fmt"

	"github.com/wattkeel/wattkeel/service/spec"
)

// powerRules judge the power of charger and supply.
func powerRules() []Rule { return []Rule{powerLimited(), supplyUndersized()} }

func powerLimited() Rule {
	return Rule{
		ID: "power-limited", Family: OnCharger, Since: "0.1.0", Levels: []Level{{Severity: spec.Note, Unit: "a"}},
		Title:     "The charger's power holds the current down",
		Rationale: "The pack could take more than the charger can give at its voltage: the charge is slower than the charger's current suggests.",
		Remedy:    "accept the longer charge, or use a stronger charger",
		Source:    arithmetic("power over end voltage"),
		Value:     "without_power_a",
		Against:   "charger_power_a",
		Needs: []Input{charging(), needs(func(f *Facts) bool { return f.Charging != nil && f.Charging.PowerA > 0 },
			"/charger/max_charge_power_w", "/charger/max_total_power_w")},
		Check: func(f *Facts, out *Out) {
			if c := f.Charging; beyond(c.WithoutPower, c.PowerA) {
				out.Hit(0, c.WithoutPower, c.PowerA, fmt.Sprintf("%s A would be allowed otherwise; the charger's power holds it to %s A at the end voltage", spec.Short3(c.WithoutPower), spec.Short3(c.PowerA)), powerAt(f.Charger))
			}
		},
	}
}

func supplyUndersized() Rule {
	return Rule{
		ID: "supply-undersized", Family: OnCharger, Since: "0.1.0", Levels: []Level{{Severity: spec.Caution, Unit: "w"}},
		Title:     "The power supply is too small",
		Rationale: "An overloaded supply sags, resets the charger in mid-charge or overheats.",
		Remedy:    "set no more than the plan's current, or use a stronger supply",
		Source:    arithmetic("current times end voltage over the charger's efficiency"),
		Value:     "supply_need_w",
		Against:   "charger.supply.power_w",
		Needs: []Input{charging(), chargerField("supply/power_w", func(c *spec.Charger) bool {
			return c.Supply != nil && c.Supply.PowerW != nil
		})},
		Check: func(f *Facts, out *Out) {
			if need, have := f.Charging.SupplyNeedW, *f.Charger.Supply.PowerW; beyond(need, have) {
				out.Hit(0, need, have, fmt.Sprintf("without regard to the supply the setting would draw %s W from it, and it gives %s W", spec.Short(need), spec.Plain(have)), "/charger/supply/power_w")
			}
		},
	}
}

// powerAt is where the power that limits stands: the smaller of the two.
func powerAt(c *spec.Charger) string {
	if c.MaxChargePowerW == nil || c.MaxTotalPowerW != nil && *c.MaxTotalPowerW < *c.MaxChargePowerW {
		return "/charger/max_total_power_w"
	}
	return "/charger/max_charge_power_w"
}
