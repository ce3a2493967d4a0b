/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "rotor/rank.h"

double rank_value(double *values, size_t count, size_t rank)
{
    size_t low = 0, high = count - 1;
    while (low < high) {
        double pivot = values[(low + high) / 2];
        size_t left = low, right = high;
        while (left <= right) {
            while (values[left] < pivot)
                left++;
            while (values[right] > pivot)
                right--;
            if (left <= right) {
                double swap = values[left];
                values[left++] = values[right];
                values[right] = swap;
                if (right == 0)
                    break;
                right--;
            }
        }
        if (rank <= right)
            high = right;
        else if (rank >= left)
            low = left;
        else
            break;
    }
    return values[rank];
}

double rank_median(double *values, size_t count)
{
    double above = rank_value(values, count, count / 2);
    return count % 2 == 1 ? above : (rank_value(values, count, count / 2 - 1) + above) / 2;
}
