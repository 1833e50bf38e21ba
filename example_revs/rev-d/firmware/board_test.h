/* Pins of the board test, which needs no other board. */
#pragma once

#define PIN_LED_STATUS PB2
#define PIN_BTN_USER   PC13
#define LOW_BTN_USER   1
