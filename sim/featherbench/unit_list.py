"""The units that people may type, each in terms of the SI: a short list of those the trade uses.

Inch, pound and standard gravity are exact by definition (international yard and pound of 1959; CGPM 1901; from memory).
"""

UNITS = """
nano- = 1e-9 = n-
micro- = 1e-6 = u-
milli- = 1e-3 = m-
centi- = 1e-2 = c-
hecto- = 1e2 = h-
kilo- = 1e3 = k-
mega- = 1e6 = M-
giga- = 1e9 = G-
meter = [length] = m = metre
kilogram = [mass] = kg
second = [time] = s = sec
ampere = [current] = A = amp
kelvin = [temperature] = K
radian = [angle] = rad
degree_Celsius = kelvin; offset: 273.15 = degC = celsius
degree_Fahrenheit = 5 / 9 * kelvin; offset: 255.3722222222222 = degF = fahrenheit
degree = 0.017453292519943295 * radian = deg
arcminute = degree / 60 = arcmin
revolution = 6.283185307179586 * radian = rev = turn
minute = 60 * second = min
hour = 3600 * second = hr
rpm = revolution / minute
hertz = 1 / second = Hz
gram = 1e-3 * kilogram = g
pound = 0.45359237 * kilogram = lb = lbs = lbm
ounce = pound / 16 = oz
inch = 0.0254 * meter = in = inches
foot = 12 * inch = ft = feet
thou = 1e-3 * inch
ounce_inch = ounce * inch = ozin = inoz
kilogram_centimeter = 1e-2 * kilogram * meter = kgcm
gram_centimeter = 1e-2 * gram * meter = gcm
pound_inch = pound * inch = lbin
newton = kilogram * meter / second ** 2 = N
gram_force = 9.80665e-3 * newton = gf
kilogram_force = 9.80665 * newton = kgf
pound_force = 9.80665 * 0.45359237 * newton = lbf
ounce_force = pound_force / 16 = ozf
newton_meter = newton * meter = Nm
newton_centimeter = 1e-2 * newton * meter = Ncm
newton_millimeter = 1e-3 * newton * meter = Nmm
pascal = newton / meter ** 2 = Pa
bar = 1e5 * pascal
psi = pound_force / inch ** 2
joule = newton * meter = J
watt = joule / second = W
volt = watt / ampere = V
coulomb = ampere * second = C
ampere_hour = 3600 * coulomb = Ah
ohm = volt / ampere
henry = volt * second / ampere = H
knot = 1852 * meter / hour = kn
mph = 5280 * foot / hour
"""
"""In the format of a pint definition file, without prefixes that nobody types."""
