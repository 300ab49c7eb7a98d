// Package soilwater is the root zone: a daily balance of water in the ground
// under one cell, by the dual crop coefficient of FAO-56 chapters 7 and 8, with
// water rising from a shallow table. Sub-package hydraulics has the curves.
package soilwater
