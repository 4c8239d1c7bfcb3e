package spec

// IntendedSettings is what a person means to set on the charger, to be
// checked before the charge begins.
type IntendedSettings struct {
	// Chemistry is the chemistry of the program chosen.
	Chemistry Chemistry `json:"chemistry,omitempty" validate:"omitempty,enum"`
	// CellsSeries is the cell count set, 1 to 32.
	CellsSeries *int `json:"cells_series,omitempty" validate:"omitempty,gte=1,lte=32" unit:"cells"`
	// CurrentA is the charge current set, in amperes, 0.001 to 1000.
	CurrentA *float64 `json:"current_a,omitempty" validate:"omitempty,gte=0.001,lte=1000"`
	// EndVoltagePerCellV is the end-of-charge voltage of a cell set, in volts, 0.5 to 6.
	EndVoltagePerCellV *float64 `json:"end_voltage_per_cell_v,omitempty" validate:"omitempty,gte=0.5,lte=6"`
}
