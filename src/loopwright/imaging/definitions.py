"""What each map means, in sentences that a dossier prints beside it."""

__all__ = [
    "ABSOLUTE_SNR",
    "ACCELERATED_SNR",
    "ALIASED_SET",
    "ALIASED_SET_SHIFTED",
    "ALIASED_SET_SLICES",
    "INVERSE_G",
    "OPTIMUM",
    "ROOT_SUM_OF_SQUARES",
    "SENSITIVITY",
    "SHELL_ACCELERATED_FRACTION",
    "SHELL_COVERED_FRACTION",
    "SHELL_FRACTION",
    "SIMULTANEOUS_SNR",
    "ULTIMATE_FRACTION",
]

SENSITIVITY = (
    "Reception field (the circular component that the spins' signal goes with) per unit current, over the square root "
    "of the noise resistance referred to the body's temperature, T A^-1 ohm^-1/2."
)

OPTIMUM = "Best linear combination of the elements at each voxel, sqrt(s^H Psi^-1 s)."

ROOT_SUM_OF_SQUARES = (
    "Root-sum-of-squares combination, s^H s / sqrt(s^H Psi s), every element per unit current at its port, where the "
    "signal is far above the noise."
)

ABSOLUTE_SNR = (
    "Peak signal of one voxel, w M0 V |2 s|, over the standard deviation of one real channel, sqrt(4 k T R df): all "
    "of the equilibrium magnetisation tipped, no relaxation, nothing lost behind the coil (preamplifier, cable). df is "
    "one over the total time for which the receiver samples the voxel."
)

INVERSE_G = (
    "1/g of SENSE at the true sensitivities, g = sqrt([(S^H Psi^-1 S)^-1]_ii [S^H Psi^-1 S]_ii): 1 where nothing folds "
    "onto the voxel, 0 where the folded voxels cannot be told apart."
)

_BETWEEN_VOXELS = (
    "whose voxel lies in the body; sensitivities between voxel centres are trilinear, and at the rim they go on as the "
    "nearest voxels with body."
)

ALIASED_SET = (
    f"Onto a voxel at r fold all positions r + m FOV/R (all integers m, every undersampled direction) {_BETWEEN_VOXELS}"
)

ALIASED_SET_SHIFTED = (
    "With lines shifted by s steps of the second direction's sampling, onto a voxel at r fold all positions r + "
    "(m FOV1/R1 - n s FOV1/(R1 R2)) along the first direction and + n FOV2/R2 along the second (all integers m and n) "
    f"{_BETWEEN_VOXELS}"
)

ALIASED_SET_SLICES = (
    "With simultaneous slices of distance d that are shifted by f fields of view each, onto a voxel at r fold all "
    "positions r + k d along the normal (k to every slice of the group) and + (m FOV/R - k f FOV) along the "
    f"phase-encoded direction (all integers m) {_BETWEEN_VOXELS} The slices are taken as thin; what lies outside the "
    "slab is not excited and not imaged."
)

ACCELERATED_SNR = "SNR of the optimum combination over g sqrt(R), R the product of the factors."

SIMULTANEOUS_SNR = (
    "SNR of the optimum combination over g sqrt(R), R the factor in the plane only: N slices excited at once are each "
    "sampled as long as one slice alone would be. Held against the same N slices one after another in equal total "
    "time, each fully sampled in 1/N of it, it is sqrt(N)/g times as high; relaxation and the pauses of a sequence are "
    "left out."
)

ULTIMATE_FRACTION = (
    "Optimum sensitivity over the ultimate one, the largest that any arrangement of currents outside the body can have "
    "with noise from the body alone."
)

SHELL_FRACTION = (
    "Optimum sensitivity over the best of {combinations} combinations of small closed loops on a complete surface "
    "round the body and the array's own sources, with noise from the body alone; told where half of the combinations "
    "by themselves come within {percent:.0f} % of it. The best of so many is a lower estimate of the ultimate, so the "
    "fraction is an upper one."
)

SHELL_COVERED_FRACTION = (
    "Optimum sensitivity over the best of {combinations} combinations of small closed loops on the part of the surface "
    "that the array covers (nearest to skin within an element's outline, projected along the element's normal, or "
    "{margin} round it) and the array's own sources, with noise from the body alone; told "
    "where half of the combinations by themselves come within {percent:.0f} % of it. The best of so many is a lower "
    "estimate of what arrays on this area could do, so the fraction is an upper one."
)

SHELL_ACCELERATED_FRACTION = (
    "Accelerated, array and bound with the same undersampling, told where the accelerated bound has settled."
)
