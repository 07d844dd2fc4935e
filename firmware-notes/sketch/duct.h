/* Differential pressure in the extraction's duct, through the ADC. */
#ifndef DUCT_H
#define DUCT_H

#include "verdict.h"

#define DUCT_DECIMALS 1 /* Pa */

void duct_begin(void);
reading_t duct_read(void);

#endif
