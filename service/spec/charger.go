package spec

import "fmt"

// Charger is one charger, as its manual describes it.
type Charger struct {
	// ID is the keeper's own name for the charger, up to 128 characters.
	ID string `json:"id,omitempty" validate:"omitempty,max=128"`
	// Chemistries lists the chemistries it has a program for.
	Chemistries []Chemistry `json:"chemistries" validate:"required,min=1,max=5,unique,dive,enum"`
	// CellsSeriesMin is the smallest number of cells in series it charges, 1 to 32.
	CellsSeriesMin int `json:"cells_series_min" validate:"required,gte=1,lte=32" unit:"cells"`
	// CellsSeriesMax is the largest number of cells in series it charges, 1 to 32.
	CellsSeriesMax int `json:"cells_series_max" validate:"required,gte=1,lte=32" unit:"cells"`
	// Channels is the number of packs it charges at once, 1 to 64. A plan for one pack takes the whole of max_total_power_w for it.
	Channels *int `json:"channels,omitempty" validate:"omitempty,gte=1,lte=64" unit:"channels"`
	// MinChargeCurrentA is the smallest charge current in amperes, 0 to 1000. Left out, the smallest step is assumed. Equal to max_charge_current_a, it is the charger's one fixed current.
	MinChargeCurrentA *float64 `json:"min_charge_current_a,omitempty" validate:"omitempty,gte=0,lte=1000"`
	// MaxChargeCurrentA is the largest charge current of a channel in amperes, 0.01 to 1000.
	MaxChargeCurrentA float64 `json:"max_charge_current_a" validate:"required,gte=0.01,lte=1000"`
	// ChargeCurrentStepA is the step in which the current is set, in amperes, 0.001 to 100. Left out, 0.1 A is assumed.
	ChargeCurrentStepA *float64 `json:"charge_current_step_a,omitempty" validate:"omitempty,gte=0.001,lte=100"`
	// MaxChargePowerW is the largest charge power of a channel in watts, 0.1 to 100,000.
	MaxChargePowerW *float64 `json:"max_charge_power_w,omitempty" validate:"omitempty,gte=0.1,lte=100000"`
	// MaxTotalPowerW is the largest charge power of all channels together in watts, 0.1 to 100,000.
	MaxTotalPowerW *float64 `json:"max_total_power_w,omitempty" validate:"omitempty,gte=0.1,lte=100000"`
	// Balance says whether and how it equalizes the cells.
	Balance Balance `json:"balance" validate:"required,enum"`
	// BalanceCurrentA is the current it can bleed from a high cell, in amperes, 0.001 to 100. Left out, 0.2 A is assumed where it balances.
	BalanceCurrentA *float64 `json:"balance_current_a,omitempty" validate:"omitempty,gte=0.001,lte=100"`
	// CellCount says how it learns the number of cells.
	CellCount CellCount `json:"cell_count,omitempty" validate:"omitempty,enum"`
	// EndVoltageAdjustable says whether the end-of-charge voltage can be set below full.
	EndVoltageAdjustable *bool `json:"end_voltage_adjustable,omitempty"`
	// StorageProgram says whether it has a program that brings a pack to storage charge.
	StorageProgram *bool `json:"storage_program,omitempty"`
	// MaxDischargeCurrentA is the largest discharge current in amperes, 0 to 1000; 0 where it cannot discharge.
	MaxDischargeCurrentA *float64 `json:"max_discharge_current_a,omitempty" validate:"omitempty,gte=0,lte=1000"`
	// MaxDischargePowerW is the largest discharge power in watts, 0 to 100,000; 0 where it cannot discharge.
	MaxDischargePowerW *float64 `json:"max_discharge_power_w,omitempty" validate:"omitempty,gte=0,lte=100000"`
	// SafetyTimer says whether it ends a charge after a time that can be set.
	SafetyTimer *bool `json:"safety_timer,omitempty"`
	// Supply is the power supply it runs from.
	Supply *Supply `json:"supply,omitempty" validate:"omitempty"`
}

// Supply is the power supply a charger runs from.
type Supply struct {
	// PowerW is the power it can give continuously, in watts, 0.1 to 100,000.
	PowerW *float64 `json:"power_w,omitempty" validate:"omitempty,gte=0.1,lte=100000"`
	// EfficiencyPercent is the share of that power that reaches the pack, in percent, 1 to 100. Left out, 85 % is assumed.
	EfficiencyPercent *float64 `json:"efficiency_percent,omitempty" validate:"omitempty,gte=1,lte=100"`
}

// Supports reports whether the charger has a program for the chemistry.
func (c *Charger) Supports(x Chemistry) bool {
	for _, s := range c.Chemistries {
		if s == x {
			return true
		}
	}
	return false
}

// Check reports contradictions between the fields of a charger found at the
// JSON Pointer at.
func (c *Charger) Check(at string, r *Report) {
	if c.CellsSeriesMin >= 1 && c.CellsSeriesMax >= 1 && c.CellsSeriesMin > c.CellsSeriesMax {
		r.Add(at+"/cells_series_min", "min-not-above-max", fmt.Sprintf("cells_series_min is %d, above cells_series_max %d; swap or correct them", c.CellsSeriesMin, c.CellsSeriesMax))
	}
	if c.MaxChargeCurrentA <= 0 {
		return
	}
	if m := c.MinChargeCurrentA; m != nil && *m > c.MaxChargeCurrentA {
		r.Add(at+"/min_charge_current_a", "min-not-above-max", fmt.Sprintf("min_charge_current_a is %s, above max_charge_current_a %s; swap or correct them", Plain(*m), Plain(c.MaxChargeCurrentA)))
	}
	if s := c.ChargeCurrentStepA; s != nil && *s > c.MaxChargeCurrentA {
		r.Add(at+"/charge_current_step_a", "step-not-above-max", fmt.Sprintf("charge_current_step_a is %s, above max_charge_current_a %s; write the smallest change of current the charger can be set to", Plain(*s), Plain(c.MaxChargeCurrentA)))
	}
}
