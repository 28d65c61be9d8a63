"""What each map means, in sentences that a dossier prints beside it."""

__all__ = [
    "ABSOLUTE_SNR",
    "ACCELERATED_SNR",
    "ALIASED_SET",
    "INVERSE_G",
    "OPTIMUM",
    "ROOT_SUM_OF_SQUARES",
    "SENSITIVITY",
    "SHELL_ACCELERATED_FRACTION",
    "SHELL_COVERED_FRACTION",
    "SHELL_FRACTION",
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

ALIASED_SET = (
    "Onto a voxel at r fold all positions r + m FOV/R (all integers m, every undersampled direction) whose voxel lies "
    "in the body; sensitivities between voxel centres are trilinear, and at the rim they go on as the nearest voxels "
    "with body."
)

ACCELERATED_SNR = "SNR of the optimum combination over g sqrt(R), R the product of the factors."

ULTIMATE_FRACTION = (
    "Optimum sensitivity over the ultimate one, the largest that any arrangement of currents outside the body can have "
    "with noise from the body alone."
)

SHELL_FRACTION = (
    "Optimum sensitivity over the best of small closed loops on a complete surface round the body, with noise from the "
    "body alone."
)

SHELL_COVERED_FRACTION = (
    "Optimum sensitivity over the best of small closed loops on the part of the surface that the array covers, with "
    "noise from the body alone: what any array on this area could do."
)

SHELL_ACCELERATED_FRACTION = "Accelerated, array and bound with the same undersampling."
