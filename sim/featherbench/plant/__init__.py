"""The time-stepped bodies: parameters, state, friction and contact, energy audit.

Pure numba: no units, no files, no plots. Three bodies (motor rotor reflected to the output; servo output with arm and
rod; collective pitch of all blades with the slider) hang together by two plays: gear play inside the servo's own
loop, linkage play outside it. The slider sits on the pitch side of the linkage play, because most of the play
(servo arm, bellcrank, slider ring) lies on the servo's side of it.
"""
