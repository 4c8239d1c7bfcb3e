package rule

import "github.com/wattkeel/wattkeel/service/spec"

// The inputs rules need. Each is named for what must be given.

func needs(has func(*Facts) bool, fields ...string) Input { return Input{Fields: fields, Has: has} }

func packField(field string, has func(*spec.Pack) bool) Input {
	return needs(func(f *Facts) bool { return has(f.Pack) }, "/pack/"+field)
}

// chargerField needs a charger and one of its fields; a nil has asks for the
// charger alone.
func chargerField(field string, has func(*spec.Charger) bool) Input {
	pointer := "/charger"
	if field != "" {
		pointer += "/" + field
	}
	return needs(func(f *Facts) bool { return f.Charger != nil && (has == nil || has(f.Charger)) }, pointer)
}

func placeField(field string, has func(*spec.Surroundings) bool) Input {
	return needs(func(f *Facts) bool { return f.Surroundings != nil && has(f.Surroundings) }, "/surroundings/"+field)
}

func aCharger() Input { return chargerField("", nil) }

func restedVoltage() Input {
	return needs(func(f *Facts) bool { return len(f.Pack.CellVoltagesV) > 0 || f.Pack.PackVoltageV != nil },
		"/pack/cell_voltages_v", "/pack/pack_voltage_v")
}

func cellVoltages() Input {
	return packField("cell_voltages_v", func(p *spec.Pack) bool { return len(p.CellVoltagesV) > 0 })
}

func cellResistances() Input {
	return packField("cell_resistances_mohm", func(p *spec.Pack) bool { return len(p.CellResistancesMOhm) > 0 })
}

func startOfCharge() Input {
	return needs(func(f *Facts) bool {
		return len(f.Pack.CellVoltagesV) > 0 || f.Pack.PackVoltageV != nil || f.Pack.ChargePercent != nil
	}, "/pack/cell_voltages_v", "/pack/pack_voltage_v", "/pack/charge_percent")
}

func dischargeRate() Input {
	return packField("max_discharge_c_rate", func(p *spec.Pack) bool { return p.MaxDischargeCRate != nil })
}

func chargeRate() Input {
	return packField("max_charge_c_rate", func(p *spec.Pack) bool { return p.MaxChargeCRate != nil })
}

func conditionGiven() Input {
	return packField("condition", func(p *spec.Pack) bool { return p.Condition != nil })
}

func idleDays() Input {
	return needs(func(f *Facts) bool { return f.IdleDays != nil }, "/idle_days")
}

func currentGiven() Input {
	return needs(func(f *Facts) bool { return f.Current != nil }, "/settings/current_a")
}

func charging() Input {
	return needs(func(f *Facts) bool { return f.Charging != nil }, "/charger")
}

func temperature() Input {
	return needs(func(f *Facts) bool { return f.Pack.TemperatureDegC != nil || f.roomDegC() != nil },
		"/pack/temperature_degc", "/surroundings/ambient_degc")
}

// The packs rules apply to.

func lithium(f *Facts) bool { return f.Pack.Chemistry.Lithium() }

func lithiumCells(f *Facts) bool { return lithium(f) && f.Pack.CellsSeries > 1 }

func nickel(f *Facts) bool { return f.Pack.Chemistry == spec.NiMH }
